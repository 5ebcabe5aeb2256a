import { cellDefiner } from "../graph/defineCell.ts";
import type { Offered } from "../graph/quantity.ts";
import type { Basecoat } from "./basecoat.ts";
import type { ColourCoats } from "./coatPlan.ts";
import type { Coverage } from "./coverage.ts";
import type { PigmentSet } from "./pigmentSet.ts";
import type { Recipe } from "./recipe.ts";
import type { Substrate } from "./substrate.ts";
import type { Target } from "./target.ts";
import type { Viewing } from "./viewing.ts";

/** What flows along links, by the type of port. */
export interface PortValues {
  readonly any: Offered;
  readonly basecoat: Basecoat;
  readonly "coat-plan": ColourCoats;
  readonly coverage: Coverage;
  readonly "pigment-set": PigmentSet;
  readonly recipe: Recipe;
  readonly substrate: Substrate;
  readonly target: Target;
  readonly viewing: Viewing;
}

/** Declare a kind of cell. */
export const defineCell = cellDefiner<PortValues>();
