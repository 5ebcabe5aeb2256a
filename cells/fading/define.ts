import { noteDoubtOfLab } from "../../src/colour/surfaceColour.ts";
import { fadingReport } from "../../src/exchange/fadingReport.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import { type Reading, readingsSchema } from "../../src/ports/reading.ts";
import { seeTarget } from "../../src/ports/seenTarget.ts";
import { onWorkingGrid } from "../../src/ports/spectrum.ts";
import { swatchOf } from "../../src/ports/swatch.ts";
import type { SeenTarget, Target } from "../../src/ports/target.ts";
import type { Viewing } from "../../src/ports/viewing.ts";

/** How far a part has faded from its reference, and both of them. */
export interface Fading {
  readonly reference: SeenTarget;
  readonly faded: SeenTarget;
  readonly viewing: Viewing;
  readonly report: ReturnType<typeof fadingReport>;
  /** ΔE00 that both readings together are in doubt, where that is known. */
  readonly doubt: number | undefined;
  /** What the spots of the reference look like. */
  readonly hidden: readonly SeenTarget[];
  readonly exposed: readonly SeenTarget[];
}

const none = [] as Reading[];

export const fading = defineCell({
  kind: "fading",
  label: "Fading",
  about:
    "How far a part has faded from its unfaded reference: ΔE, the grey-scale grade from 5 (none) down to 1, and words. " +
    "Readings of the reference where it was covered and where it saw the light tell whether it has faded itself.",
  inputs: {
    reference: { type: "target", label: "Unfaded reference" },
    faded: { type: "target", label: "Faded part" },
    viewing: { type: "viewing", label: "Viewing" },
  },
  parameters: {
    hidden: {
      type: "value",
      label: "Reference, where it was covered",
      schema: readingsSchema,
      initial: none,
    },
    exposed: {
      type: "value",
      label: "Reference, where it saw the light",
      schema: readingsSchema,
      initial: none,
    },
  },
  compute: ({ reference, faded, viewing }, p, { note }): Fading => {
    if (reference === faded) {
      throw new InputError("The reference and the faded part are the same cell", {
        field: "faded",
        wayOut: "Link another target for the faded part",
      });
    }
    const before = seeTarget(reference, viewing);
    const after = seeTarget(faded, viewing);
    const see = (readings: readonly Reading[]) =>
      readings.map((reading) => seeTarget(targetOf(reading, reference, viewing, note), viewing));
    const hidden = see(p.hidden);
    const exposed = see(p.exposed);
    const report = fadingReport(before.Lab, after.Lab, {
      hidden: hidden.map(({ Lab }) => Lab),
      exposed: exposed.map(({ Lab }) => Lab),
    });
    for (const text of report.cautions) note(text[0].toUpperCase() + text.slice(1));
    const { observer, illuminant } = viewing.weights;
    if (illuminant !== "D65" || observer !== "1964-10") {
      note(
        `The grade is meant for D65 daylight and the 10° observer; here it is told for ${illuminant} and ${observer === "1931-2" ? "2°" : "10°"}`,
      );
    }
    const doubts = [reference, faded].flatMap((one) =>
      one.kind === "lab" && one.doubt !== undefined ? [one.doubt] : [],
    );
    const doubt = doubts.length > 0 ? Math.hypot(...doubts) : undefined;
    if (doubt !== undefined && report.deltaE2000 < doubt) {
      note(
        `The difference of ΔE00 ${report.deltaE2000.toFixed(1)} is smaller than the doubt of the readings (${doubt.toFixed(1)}): ` +
          "it may be none at all. A reading of both with one instrument is surer",
      );
    }
    return { reference: before, faded: after, viewing, report, doubt, hidden, exposed };
  },
  verdict: ({ report, reference, faded, viewing }) => {
    const figure = `ΔE00 ${differenceText(report.deltaE2000)}`;
    const grade = report.grade === "5" ? "no fading that counts" : `grade ${report.grade} of the grey scale`;
    const itself =
      report.reference === "may have faded"
        ? " The reference itself may have faded: then the true loss is greater than told here."
        : report.reference === "looks unfaded"
          ? " The reference looks the same where it was covered and where it saw the light."
          : "";
    return {
      text: `${faded.label} against ${reference.label}: ${report.words.text}, ${figure}, ${grade}.${itself}`,
      figure,
      swatch: swatchOf(faded.XYZ, viewing),
    };
  },
  summarise: ({ report, doubt }) => ({
    deltaE00: report.deltaE2000,
    deltaEab: report.deltaEab,
    grade: report.grade,
    rating: report.rating,
    words: report.words.text,
    reference: report.reference,
    doubt: doubt ?? null,
  }),
  quantities: ({ report }) => [
    difference("difference", "ΔE00 of the fading", report.deltaE2000),
    difference("difference-ab", "ΔE*ab of the fading", report.deltaEab),
    amount("rating", "grey-scale rating (5 = none)", report.rating, ""),
  ],
});

export default fading;

/** A reading as a target: what it does not say is taken as for the reference, which the same instrument has read. */
function targetOf(
  reading: Reading,
  reference: Target,
  { weights }: Viewing,
  note: (text: string) => void,
): Target {
  const { label } = reading;
  const specular = reading.specular ?? reference.specular;
  if (reading.kind === "spectrum") {
    return { kind: "spectrum", label, specular, reflectance: onWorkingGrid(reading, note) };
  }
  noteDoubtOfLab(reading.Lab, note);
  const stated = reference.kind === "lab" ? reference : weights;
  return {
    kind: "lab",
    label,
    specular,
    Lab: Float64Array.from(reading.Lab),
    observer: reading.observer ?? stated.observer,
    illuminant: reading.illuminant ?? stated.illuminant,
  };
}
