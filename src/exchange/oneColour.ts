import { wavelengths, workingGrid } from "../colour/grid.ts";
import type { ObserverName } from "../colour/observer.ts";
import { resampleToGrid } from "../colour/resample.ts";
import type { SpecularMode } from "../optics/interface.ts";
import type { ColourSample } from "./colourSample.ts";
import { keptSample } from "./preview.ts";
import { meanSpectrum } from "./readings.ts";

/** One colour as a cell keeps it; undefined is what the text or file does not say. */
type OneColour =
  | {
      readonly kind: "spectrum";
      readonly spectrum: { label: string; origin: string; wavelengths: number[]; values: number[] };
      readonly specular: SpecularMode | undefined;
    }
  | {
      readonly kind: "lab";
      readonly Lab: { label: string; L: number; a: number; b: number };
      readonly observer: ObserverName | undefined;
      readonly illuminant: string | undefined;
      readonly specular: SpecularMode | undefined;
    };

/** What the numbers rest on, of all that was assumed on reading: it stands beside the colour. */
export function scaleAmong(assumptions: readonly string[]): string[] {
  return assumptions.filter((text) => /\bread as|\btaken on the scale/.test(text));
}

/** Where a colour came from, and as what its numbers were read. */
export function sourceWords(from: string, assumptions: readonly string[]): string {
  return [from, ...scaleAmong(assumptions)].join("; ");
}

/**
 * What was typed or read from a file as one colour: the only one, or the mean of several readings of one surface that were
 * read alike.
 *
 * @param from file name or "typed"   @param conditions answers to what a file does not say
 * @param assumptions all that was assumed on reading; what tells the scale is kept with a spectrum
 * @throws RangeError for none, or for spectra and Lab mixed
 */
export function oneColour(
  samples: readonly ColourSample[],
  from: string,
  conditions: { readonly observer?: string; readonly illuminant?: string } = {},
  assumptions: readonly string[] = [],
): OneColour {
  const kept = samples.map((sample) =>
    keptSample(sample, conditions as { observer?: ObserverName; illuminant?: string }),
  );
  if (kept.length === 0) throw new RangeError("no colour: at least one is needed");
  const [first] = kept;
  const label = kept.length === 1 ? first.label : `mean of ${kept.length} readings`;
  const { specular } = first;
  if (first.kind === "spectrum") {
    const curves = kept.map((one) => {
      if (one.kind !== "spectrum") throw new RangeError("spectra and Lab are mixed: choose one kind");
      return one;
    });
    const one = kept.length === 1;
    const spectrum = {
      label,
      origin: sourceWords(from, assumptions).slice(0, 400),
      wavelengths: one ? first.wavelengths : Array.from(wavelengths(workingGrid)),
      values: one
        ? first.values
        : Array.from(meanSpectrum(curves.map((c) => resampleToGrid(c.wavelengths, c.values).values)).mean),
    };
    return { kind: "spectrum", spectrum, specular };
  }
  const [L, a, b] = [0, 1, 2].map(
    (axis) =>
      kept.reduce((sum, one) => {
        if (one.kind !== "lab") throw new RangeError("spectra and Lab are mixed: choose one kind");
        return sum + one.Lab[axis];
      }, 0) / kept.length,
  );
  const { observer, illuminant } = first;
  return { kind: "lab", Lab: { label, L, a, b }, observer, illuminant, specular };
}
