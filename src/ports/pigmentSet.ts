import * as v from "valibot";
import type { Component } from "../coating/component.ts";
import { workingGrid } from "../colour/grid.ts";
import { jointFrom, jointToSave, savedJointSchema } from "../tables/savedJoint.ts";
import { spectrumSchema } from "./spectrum.ts";
import { between, statedLabSchema } from "./statedLab.ts";

/** A named set of components that recipes and basecoats choose from. */
export interface PigmentSet {
  /** Id of the cell that holds the set, so that others can add to it. */
  readonly cell: string;
  /** The notebook's own components in it, as kept. */
  readonly added: readonly ComponentParameter[];
  readonly name: string;
  readonly components: readonly Component[];
}

const curve = v.pipe(
  v.array(v.pipe(v.number(), v.finite(), v.minValue(0, "a coefficient of at least 0 is allowed"))),
  v.length(workingGrid.length, `${workingGrid.length} values are needed (380 to 730 nm by 10 nm)`),
);

const colour = v.variant("kind", [
  v.strictObject({ kind: v.literal("spectrum"), spectrum: spectrumSchema }),
  v.strictObject({ kind: v.literal("lab"), Lab: statedLabSchema }),
]);
/** How a ready paint was read: its colour in a film that hides, and in a thinner one over black and over white. */
const readySchema = v.strictObject({
  hiding: colour,
  specular: v.picklist(["included", "excluded", "unknown"]),
  film: v.optional(
    v.strictObject({
      overBlack: v.optional(colour),
      overWhite: v.optional(colour),
      /** dry thickness, µm, and its 1σ as a share of it */
      thickness: between(1, 500),
      thicknessDoubt: between(0.01, 1),
      /** measured reflectance of the card's two halves, surface included */
      black: between(0.01, 0.3),
      white: between(0.3, 0.98),
    }),
  ),
});

export type ReadyReading = v.InferOutput<typeof readySchema>;

/** A component as kept inside a notebook. */
export const componentSchema = v.strictObject({
  id: v.pipe(v.string(), v.regex(/^[a-z0-9][a-z0-9-]{0,63}$/, "use lower-case letters, digits and hyphens")),
  name: v.pipe(v.string(), v.minLength(1, "a name is needed"), v.maxLength(200)),
  role: v.picklist(["paste", "binder", "base paint"]),
  colourIndex: v.optional(v.pipe(v.string(), v.maxLength(60))),
  density: v.pipe(
    v.number(),
    v.minValue(0.5, "0.5 to 6 g/mL is allowed"),
    v.maxValue(6, "0.5 to 6 g/mL is allowed"),
  ),
  volumeSolids: v.pipe(
    v.number(),
    v.minValue(0.01, "0.01 to 1 is allowed"),
    v.maxValue(1, "0.01 to 1 is allowed"),
  ),
  absorption: curve,
  scattering: curve,
  absorptionSigma: v.optional(curve),
  scatteringSigma: v.optional(curve),
  scaleSigma: v.optional(between(0, 5)),
  joint: v.optional(savedJointSchema),
  ready: v.optional(readySchema),
  leastDose: v.optional(between(0, 100)),
  containers: v.optional(v.pipe(v.array(between(0.1, 1e6)), v.maxLength(20))),
  costPerMl: v.optional(v.pipe(v.number(), v.minValue(0), v.maxValue(1e6))),
  lightfastness: v.optional(v.pipe(v.string(), v.maxLength(200))),
  provenance: v.looseObject({
    kind: v.picklist(["invented", "calibrated", "measured", "imported"]),
    by: v.optional(v.string()),
    when: v.optional(v.string()),
    note: v.optional(v.string()),
    price: v.optional(v.literal("own")),
  }),
});

export type ComponentParameter = v.InferOutput<typeof componentSchema>;

/** A saved component with its curves as typed arrays. */
export function componentFrom({ joint, ...saved }: ComponentParameter): Component {
  const optional = (values: number[] | undefined) => (values ? Float64Array.from(values) : undefined);
  return {
    ...saved,
    absorption: Float64Array.from(saved.absorption),
    scattering: Float64Array.from(saved.scattering),
    absorptionSigma: optional(saved.absorptionSigma),
    scatteringSigma: optional(saved.scatteringSigma),
    ...(joint ? { joint: jointFrom(joint) } : {}),
  };
}

/** A component in the form kept inside a notebook. */
export function componentToSave(component: Component): ComponentParameter {
  const plain = (values: Float64Array | undefined) => (values ? [...values] : undefined);
  return {
    ...component,
    absorption: [...component.absorption],
    scattering: [...component.scattering],
    absorptionSigma: plain(component.absorptionSigma),
    scatteringSigma: plain(component.scatteringSigma),
    ...(component.joint ? { joint: jointToSave(component.joint) } : {}),
  } as ComponentParameter;
}
