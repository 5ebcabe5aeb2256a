import { checkSurface, type SpecularMode } from "../optics/interface.ts";
import { choiceOption, numberOption } from "./options.ts";
import { InputError } from "./surroundings.ts";

/** The surface between air and film as given on the command line. */
interface SurfaceChoice {
  k1: number;
  k2: number;
  specular: SpecularMode;
}

export const surfaceOptions = {
  k1: { type: "string" },
  k2: { type: "string" },
  specular: { type: "string" },
} as const;

export const surfaceHelp = `  --k1 NUMBER          share of outside light that the surface reflects (common practice: 0.04)
  --k2 NUMBER          share of inside light that the surface sends back in (common practice: 0.6)
  --specular WORD      "included" or "excluded": whether readings hold the mirror reflection (default: included)`;

/**
 * The surface, or undefined when neither k1 nor k2 is given: then every reflectance is taken as it stands.
 *
 * @throws InputError for one without the other, or a number out of range
 */
export function readSurface(values: {
  k1?: string;
  k2?: string;
  specular?: string;
}): SurfaceChoice | undefined {
  if (values.k1 === undefined && values.k2 === undefined) {
    if (values.specular !== undefined) throw new InputError("--specular needs --k1 and --k2.");
    return undefined;
  }
  if (values.k1 === undefined || values.k2 === undefined)
    throw new InputError("--k1 and --k2 have to be given together.");
  const k1 = numberOption("--k1", values.k1, 0, 1);
  const k2 = numberOption("--k2", values.k2, 0, 1);
  try {
    checkSurface(k1, k2);
  } catch (error) {
    throw new InputError(`${(error as Error).message}.`);
  }
  return {
    k1,
    k2,
    specular: choiceOption("--specular", values.specular ?? "included", ["included", "excluded"]),
  };
}
