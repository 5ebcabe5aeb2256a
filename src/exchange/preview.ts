import { LabToXYZ, XYZToLab } from "../colour/Lab.ts";
import type { ObserverName } from "../colour/observer.ts";
import { resampleToGrid } from "../colour/resample.ts";
import { reflectanceToXYZ } from "../colour/XYZ.ts";
import { weightsFor } from "../tables/weights.ts";
import type { ColourSample, LabSample, SpectralSample, XYZSample } from "./colourSample.ts";

/** Light and observer to look at a colour with when the file does not say. */
const usual = { observer: "1964-10", illuminant: "D65" } as const;

/** What a sample looks like before it is taken. */
interface ColourPreview {
  readonly XYZ: Float64Array;
  readonly Lab: Float64Array;
  /** XYZ of the white that belongs to them. */
  readonly white: Float64Array;
  /** On the working grid; undefined for a colour without a spectrum. */
  readonly curve: Float64Array | undefined;
}

/**
 * The colour of a sample under its own light and observer, D65 and 10° where the file does not say.
 *
 * @throws RangeError for a spectrum that covers too little of the visible range
 */
export function previewOf(sample: ColourSample): ColourPreview {
  const XYZ = new Float64Array(3);
  const Lab = new Float64Array(3);
  if (sample.kind === "spectrum") {
    const weights = weightsFor(usual.observer, usual.illuminant);
    const curve = resampleToGrid(sample.wavelengths, sample.values).values;
    reflectanceToXYZ(curve, weights, XYZ);
    return { XYZ, Lab: XYZToLab(XYZ, weights.white, Lab), white: weights.white, curve };
  }
  const { white } = weightsFor(sample.observer ?? usual.observer, sample.illuminant ?? usual.illuminant);
  if (sample.kind === "Lab") {
    LabToXYZ(sample.Lab, white, XYZ);
    return { XYZ, Lab: Float64Array.from(sample.Lab), white, curve: undefined };
  }
  XYZ.set(sample.XYZ);
  return { XYZ, Lab: XYZToLab(XYZ, white, Lab), white, curve: undefined };
}

/** A sample in the form in which cells keep it. */
export type KeptSample =
  | (Omit<SpectralSample, "reported" | "wavelengths" | "values"> & {
      wavelengths: number[];
      values: number[];
    })
  | (Omit<LabSample, "kind" | "Lab"> & { kind: "lab"; Lab: [number, number, number] });

/** The sample as it is kept; tristimulus values become CIELAB, for which their light and observer must be known. */
export function keptSample(
  sample: ColourSample,
  conditions: { readonly observer?: ObserverName; readonly illuminant?: string } = {},
): KeptSample {
  const label = sample.label.slice(0, 200);
  const said = <T extends object>(fields: T): T =>
    Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as T;
  if (sample.kind === "spectrum") {
    const { wavelengths, values, specular } = sample;
    return said({ kind: "spectrum", label, wavelengths: [...wavelengths], values: [...values], specular });
  }
  const observer = sample.observer ?? conditions.observer;
  const illuminant = sample.illuminant ?? conditions.illuminant;
  const { specular } = sample;
  const Lab = sample.kind === "Lab" ? ([...sample.Lab] as const) : LabOf({ ...sample, observer, illuminant });
  return said({ kind: "lab", label, Lab: [Lab[0], Lab[1], Lab[2]], observer, illuminant, specular });
}

function LabOf({ XYZ, observer, illuminant, label }: XYZSample): ArrayLike<number> {
  if (observer === undefined || illuminant === undefined) {
    throw new RangeError(`"${label}": XYZ means nothing without its light and observer`);
  }
  return XYZToLab(XYZ, weightsFor(observer, illuminant).white, new Float64Array(3));
}
