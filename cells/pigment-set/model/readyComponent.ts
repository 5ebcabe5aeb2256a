import { ratioOf, readyPaint } from "../../../src/calibration/readyPaint.ts";
import { internalFromMeasured, type SpecularMode, usualSurface } from "../../../src/optics/interface.ts";
import { curveOfStated } from "../../../src/ports/labCurve.ts";
import type { ComponentParameter, ReadyReading } from "../../../src/ports/pigmentSet.ts";
import { onWorkingGrid } from "../../../src/ports/spectrum.ts";
import { surfaceModeOf } from "../../../src/ports/statedLab.ts";

/** 1σ of a reflectance that an instrument of the trade reads. From memory. */
const usualNoise = 0.003;
const { externalReflection: k1, internalReflection: k2 } = usualSurface;

/** What is taken for a paint of which nobody has said it; the component's note says so. From memory: water-borne paints. */
export const usualPaint = { density: 1.2, volumeSolids: 0.35 } as const;

type Figures = Pick<ComponentParameter, "absorption" | "scattering" | "absorptionSigma" | "scaleSigma">;

/**
 * K and S of a ready paint from its reading, with the doubt that leaves.
 *
 * @param note told what was taken where nobody knew
 * @throws InputError for a reading that no film under a usual surface can have
 */
export function readyFigures(
  { hiding, specular, film }: ReadyReading,
  note: (text: string) => void,
): Figures {
  const read = internalOf(hiding, specular, note);
  const { overBlack, overWhite } = film ?? {};
  const whole = film && overBlack && overWhite;
  const found = readyPaint(
    {
      hiding: read.values,
      noise: usualNoise,
      film: whole
        ? {
            overBlack: internalOf(overBlack, specular, note).values,
            overWhite: internalOf(overWhite, specular, note).values,
            black: card(film.black),
            white: card(film.white),
            // A Lab says less of each wavelength than a spectrum.
            noise: overBlack.kind === "lab" || overWhite.kind === "lab" ? 3 * usualNoise : usualNoise,
            thickness: film.thickness,
            thicknessDoubt: film.thicknessDoubt,
          }
        : undefined,
    },
    1,
  );
  const { absorption, scattering } = found;
  // K follows K/S: from the noise of the reading, and from the other curves that a Lab allows.
  const absorptionSigma = absorption.map((_, i) => {
    const own = ratioOf(read.values[i]);
    const byNoise = Math.abs(ratioOf(read.values[i] + usualNoise) - own);
    const byCurve = read.others.reduce((sum, other) => sum + (ratioOf(other[i]) - own) ** 2, 0);
    const spread = read.others.length > 0 ? Math.sqrt(byCurve / read.others.length) : 0;
    // More than K itself says no more than that nothing is known.
    return Math.min(absorption[i], scattering[i] * Math.hypot(byNoise, spread));
  });
  return {
    absorption: [...absorption],
    scattering: [...scattering],
    absorptionSigma: [...absorptionSigma],
    scaleSigma: found.scaleDoubt,
  };
}

/** Where the figures of a ready paint come from, in one line. */
export function readyNote({ hiding, film }: ReadyReading, { scaleSigma = 0 }: Figures): string {
  const colour = hiding.kind === "lab" ? "a Lab" : "a spectrum";
  const both = film?.overBlack && film.overWhite;
  return (
    `From ${colour} of a film that hides${both ? ", and of one over black and over white" : ""}: ` +
    `its hiding power is known within a factor of ${Math.exp(scaleSigma).toFixed(1)} (1σ)` +
    `${both ? "" : "; a film over black and over white narrows that"}.`
  );
}

function card(measured: number): Float64Array {
  return internalFromMeasured(new Float64Array(36).fill(Math.max(measured, k1)), k1, k2, "included").values;
}

function internalOf(
  colour: ReadyReading["hiding"],
  specular: ReadyReading["specular"],
  note: (text: string) => void,
): { values: Float64Array; others: Float64Array[] } {
  let mode: SpecularMode;
  let measured: Float64Array;
  let others: readonly Float64Array[] = [];
  if (colour.kind === "spectrum") {
    measured = onWorkingGrid(colour.spectrum, note);
    mode = surfaceModeOf(specular, Math.min(...measured), k1, note);
  } else {
    const blamed = { field: "added", wayOut: "Say that the surface reflection is excluded" };
    const found = curveOfStated(colour.Lab, specular, k1, note, blamed);
    mode = found.mode;
    measured = found.curve.reflectance;
    others = found.curve.others;
  }
  const inside = (values: Float64Array) =>
    internalFromMeasured(values, k1, k2, mode).values.map((R) => Math.min(1, Math.max(0, R)));
  return { values: inside(measured), others: others.map(inside) };
}
