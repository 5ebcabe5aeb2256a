import * as v from "valibot";
import { usualSurface } from "../optics/interface.ts";
import { illuminantNames } from "./illuminants.ts";

const role = v.picklist(["wavelengths", "names", "readings", "units", "title", "left out", "empty"]);
const place = v.pipe(v.string(), v.regex(/^\d{1,5}$/));
const lines = v.record(place, role);

/** How an instrument reads, asked once and chosen by name afterwards. */
const readingHabitSchema = v.strictObject({
  /** undefined where the instrument states it with each reading, or gives spectra only */
  illuminant: v.optional(v.picklist(illuminantNames)),
  observer: v.optional(v.picklist(["1931-2", "1964-10"])),
  /** whether the surface reflection is counted in */
  specular: v.picklist(["included", "excluded", "unknown"]),
  /** how far readings of one spot usually lie from their mean, ΔE00 */
  spread: v.optional(v.pipe(v.number(), v.minValue(0), v.maxValue(10))),
  /** what a person said of the layout of its files */
  decimal: v.optional(v.picklist(["comma", "point"])),
  layout: v.optional(
    v.strictObject({ rows: v.optional(lines), columns: v.optional(lines), width: v.optional(v.number()) }),
  ),
});

export type ReadingHabit = v.InferOutput<typeof readingHabitSchema> & { readonly name: string };

/** What is said of the layout of files, of all that is said. */
export function layoutSaid({
  decimal,
  layout,
}: Pick<ReadingHabit, "decimal" | "layout">): Pick<ReadingHabit, "decimal" | "layout"> {
  return { ...(decimal ? { decimal } : {}), ...(layout ? { layout } : {}) };
}

/** Under this kind habits are kept in the library. */
export const habitKind = "reading-habit";

/** A habit as it stands in the library; undefined for what is none. */
export function habitOf(name: string, parameters: unknown): ReadingHabit | undefined {
  const { success, output } = v.safeParse(readingHabitSchema, parameters);
  return success ? { ...output, name } : undefined;
}

/** What a sample says of its light, observer and surface; undefined where it says nothing. */
interface Said {
  readonly kind: string;
  readonly illuminant?: string;
  readonly observer?: string;
  readonly specular?: string;
}

/** A sample with what it does not say itself taken from the habit of the instrument that read it. */
export function withHabit<Sample extends Said>(sample: Sample, habit: ReadingHabit | undefined): Sample {
  if (!habit) return sample;
  const { illuminant, observer, specular } = habit;
  const Lab =
    sample.kind === "spectrum"
      ? {}
      : { illuminant: sample.illuminant ?? illuminant, observer: sample.observer ?? observer };
  const surface = sample.specular ?? (specular === "unknown" ? undefined : specular);
  const filled = { ...Lab, specular: surface };
  return {
    ...sample,
    ...Object.fromEntries(Object.entries(filled).filter(([, value]) => value !== undefined)),
  };
}

/**
 * What a reading tells of an instrument of which nobody knows whether it counts the surface in: one darker than the surface
 * alone, which reflects k1 = 0.04 (Saunderson 1942; L* 24), leaves it out. A lighter one tells nothing.
 *
 * @param darkest least reflectance of the reading, or least share of the white in its X, Y, Z
 */
export function habitAfter(habit: ReadingHabit, darkest: number): ReadingHabit {
  return habit.specular === "unknown" && darkest < usualSurface.externalReflection - noise
    ? { ...habit, specular: "excluded" }
    : habit;
}

/** A reading this far below the surface reflection is no noise. */
const noise = 0.002;
