import type { ObserverName } from "../../../src/colour/observer.ts";
import type { TakenColours } from "../../../src/controls/colourInput.ts";
import type { ColourSample } from "../../../src/exchange/colourSample.ts";
import { type KeptSample, keptSample } from "../../../src/exchange/preview.ts";
import type { ParameterValues } from "../../../src/graph/parameters.ts";
import type { Reading } from "../../../src/ports/reading.ts";
import type { target, Unsaid } from "../define.ts";

type Parameters = ParameterValues<typeof target.parameters>;

/** The target's parameters for colours that were taken from a file or typed. */
export function takenColours(
  { samples, assumptions, from, conditions, habit }: TakenColours<ColourSample>,
  present: Pick<Parameters, "specular" | "illuminant" | "observer">,
): Partial<Parameters> {
  const kept = samples.map((sample) =>
    keptSample(sample, conditions as { observer?: ObserverName; illuminant?: string }),
  );
  const [first] = kept;
  const specular = first.specular ?? habit?.specular;
  const common = {
    readings: kept.length > 1 ? kept.map(asReading) : [],
    assumptions: assumptions.slice(0, 60).map((text) => text.slice(0, 600)),
    ...(specular === undefined ? {} : { specular }),
    ...(habit ? { habit: habit.name.slice(0, 200), spread: habit.spread ?? null } : {}),
  };
  const unsaid: Unsaid[] = specular === undefined ? ["specular"] : [];
  if (first.kind === "spectrum") {
    const { label, wavelengths, values } = first;
    const spectrum = { label, origin: from.slice(0, 400), wavelengths, values };
    return { ...common, source: "spectrum", spectrum, unsaid };
  }
  const [L, a, b] = first.Lab;
  if (first.illuminant === undefined) unsaid.push("illuminant");
  if (first.observer === undefined) unsaid.push("observer");
  return {
    ...common,
    source: "lab",
    // What lies outside the fields' ranges is refused there with words, not bent.
    L,
    a,
    b,
    illuminant: (first.illuminant ?? present.illuminant) as Parameters["illuminant"],
    observer: first.observer ?? present.observer,
    unsaid,
  };
}

function asReading(sample: KeptSample): Reading {
  return sample as Reading;
}
