import { LabToXYZ, XYZToLab } from "../../../src/colour/Lab.ts";
import { blaming, InputError } from "../../../src/graph/outcome.ts";
import { internalFromMeasured, type SpecularMode, toMeasured } from "../../../src/optics/interface.ts";
import { curveOfStated } from "../../../src/ports/labCurve.ts";
import { onWorkingGrid, type SpectrumParameter } from "../../../src/ports/spectrum.ts";
import { type StatedLabParameter, surfaceModeOf } from "../../../src/ports/statedLab.ts";
import type { PartFromLab } from "../../../src/ports/substrate.ts";
import { weightsFor } from "../../../src/tables/weights.ts";

interface Given {
  readonly spectrum: SpectrumParameter | null;
  readonly Lab: StatedLabParameter | null;
  readonly grey: number;
  readonly specular: SpecularMode | "unknown";
  readonly externalReflection: number;
  readonly internalReflection: number;
}

const tooDark = {
  field: "specular",
  wayOut: "Say that the surface reflection is excluded, or lower k1",
};

interface PartColour {
  readonly internal: Float64Array;
  /** with the surface reflection */
  readonly measured: Float64Array;
  readonly fromLab?: PartFromLab;
}

/**
 * What a coat sees of a part, from a spectrum, a Lab or a grey.
 * @throws InputError for a reading that no part under this surface can have
 */
export function partColour(p: Given, note: (text: string) => void): PartColour {
  if (p.spectrum) return spectral(p.spectrum, p, note);
  if (p.Lab) return fromLab(p.Lab, p, note);
  const { externalReflection: k1 } = p;
  if (p.grey / 100 < k1) {
    throw new InputError(`A grey of ${p.grey} % is darker than its own surface reflection of ${100 * k1} %`, {
      field: "grey",
      wayOut: "Raise the grey or lower k1",
    });
  }
  const blamed = { field: "grey", wayOut: "Change the grey, or k1 and k2" };
  return through(new Float64Array(36).fill(p.grey / 100), "included", p, blamed, note);
}

function spectral(spectrum: SpectrumParameter, p: Given, note: (text: string) => void): PartColour {
  const blamed = { field: "spectrum", wayOut: "Measure it again, or describe the part as a grey" };
  const given = blaming(blamed, () => onWorkingGrid(spectrum, note));
  const mode = surfaceModeOf(p.specular, Math.min(...given), p.externalReflection, note);
  return through(given, mode, p, blamed, note);
}

function fromLab(Lab: StatedLabParameter, p: Given, note: (text: string) => void): PartColour {
  const { externalReflection: k1, internalReflection: k2 } = p;
  const { mode, curve } = curveOfStated(Lab, p.specular, k1, note, tooDark);
  const blamed = { field: "Lab", wayOut: "Read the part again, or describe it as a grey" };
  const shown = through(curve.reflectance, mode, p, blamed, note);
  const others = curve.others.map((other) => internalFromMeasured(other, k1, k2, mode).values);
  return { ...shown, fromLab: { curve, others, readLab: withSurface(Lab, mode, k1) } };
}

/** The Lab as it would be read with the surface reflection. */
function withSurface(
  { L, a, b, observer, illuminant }: StatedLabParameter,
  mode: SpecularMode,
  k1: number,
): Float64Array {
  const { white } = weightsFor(observer, illuminant);
  const XYZ = LabToXYZ([L, a, b], white, new Float64Array(3));
  if (mode === "excluded") for (let i = 0; i < 3; i++) XYZ[i] += k1 * white[i];
  return XYZToLab(XYZ, white, new Float64Array(3));
}

function through(
  given: Float64Array,
  mode: SpecularMode,
  { externalReflection: k1, internalReflection: k2 }: Given,
  blamed: { field: string; wayOut: string },
  note: (text: string) => void,
): PartColour {
  const surface = {
    field: "externalReflection",
    wayOut: "Lower k1, raise k2, or say whether the surface reflection is in the reading",
  };
  const { values, notes } = blaming(surface, () => internalFromMeasured(given, k1, k2, mode));
  for (const text of notes) note(text);
  const low = values.findIndex((value) => value < 0);
  if (low >= 0) {
    throw new InputError(
      `At ${380 + 10 * low} nm the part measures ${(100 * given[low]).toFixed(2)} %, less than its surface reflection of ${100 * k1} %`,
      tooDark,
    );
  }
  const measured = blaming(blamed, () => values.map((value) => toMeasured(value, k1, k2, "included")));
  return { internal: values, measured };
}
