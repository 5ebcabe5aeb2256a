import { deltaE2000 } from "../../../src/colour/difference.ts";
import type { ObserverName } from "../../../src/colour/observer.ts";
import { curveSpread } from "../../../src/curves/curveSpread.ts";
import { type ReadingStatistics, readingStatistics } from "../../../src/exchange/readings.ts";
import type { ComputeContext } from "../../../src/graph/defineCell.ts";
import { blaming, InputError } from "../../../src/graph/outcome.ts";
import type { SpecularMode } from "../../../src/optics/interface.ts";
import type { CircleSample } from "../../../src/photo/circleSample.ts";
import type { ErrorEstimate, PhotoLight } from "../../../src/photo/errorEstimate.ts";
import { type KeptCircle, type KeptPhoto, sampleOf } from "../../../src/photo/keptPhoto.ts";
import { coloursOfSamples, type PhotoAnswer } from "../../../src/photo/photoColours.ts";
import { mixtureFor, smoothestFor } from "../../../src/ports/labCurve.ts";
import type { PigmentSet } from "../../../src/ports/pigmentSet.ts";
import type { LabTarget } from "../../../src/ports/target.ts";
import { labelOfIlluminant } from "../../../src/tables/illuminants.ts";
import { weightsFor } from "../../../src/tables/weights.ts";

/** A colour read from a photograph, which is a target, and how it came about. */
export interface PhotoTarget extends LabTarget {
  readonly doubt: number;
  readonly photo: PhotoReport;
}

export interface PhotoReport {
  readonly parts: readonly {
    readonly id: string;
    readonly label: string;
    readonly Lab: Float64Array;
    readonly error: ErrorEstimate;
    readonly beyondSpace: boolean;
    readonly notes: readonly string[];
  }[];
  /** Why a circle is of no use, by its id. */
  readonly refused: ReadonlyMap<string, readonly string[]>;
  readonly model: string;
  readonly residuals: readonly {
    readonly label: string;
    readonly Lab: Float64Array;
    readonly deltaE: number;
    readonly deltaEWithout: number | undefined;
  }[];
  readonly fallOff: { readonly model: string; readonly range: number; readonly residual: number };
  /** ΔE00 that nine of ten true colours lie within: reading, and carrying to another light. */
  readonly reading: number;
  readonly carrying: number;
  readonly statistics: ReadingStatistics;
}

/** Chroma up to which a card is as good as grey under every light (common practice). */
const greyEnough = 2;
const cardLabel = "grey card";

/** The cell's parameters. */
interface Given {
  readonly picture: KeptPhoto | null;
  readonly circles: readonly KeptCircle[];
  readonly cardL: number;
  readonly cardA: number;
  readonly cardB: number;
  readonly scene: string;
  readonly illuminant: string;
  readonly observer: ObserverName;
  readonly specular: SpecularMode;
  readonly curve: "none" | "smoothest" | "mixture";
}

const circlesAt = {
  field: "circles",
  wayOut: "Move the circles, add a grey card, or mend the known colours",
};

/**
 * The target in a photograph, from what is kept of it.
 *
 * @throws InputError for what a person can mend: no picture, no card, circles of no use
 */
export function photoTarget(
  p: Given,
  pigments: PigmentSet | undefined,
  { note, title, run }: ComputeContext,
): PhotoTarget | Promise<PhotoTarget> {
  const read = readPhoto(p, note);
  const stated = {
    Lab: read.Lab,
    observer: p.observer,
    illuminant: p.illuminant,
    specular: p.specular,
  };
  const value: PhotoTarget = {
    kind: "lab",
    label: title,
    ...stated,
    doubt: Math.hypot(read.report.reading, read.report.carrying),
    photo: read.report,
  };
  if (p.curve === "none") return value;
  if (p.curve === "mixture" && pigments) {
    return mixtureFor(stated, pigments, run, note)
      .catch((cause) => blaming<never>(circlesAt, () => raise(cause)))
      .then((curve) => ({ ...value, curve }));
  }
  if (p.curve === "mixture") note("No pigment set is linked: the smoothest curve is taken instead");
  return { ...value, curve: blaming(circlesAt, () => smoothestFor(stated, note)) };
}

function raise(cause: unknown): never {
  throw cause;
}

function readPhoto(p: Given, note: (text: string) => void): { Lab: Float64Array; report: PhotoReport } {
  const { picture, circles } = p;
  if (!picture) {
    throw new InputError("There is no photograph", {
      toGive: true,
      field: "picture",
      wayOut: "Drop a picture of the part beside a grey card",
    });
  }
  const { sampled, refused } = samplesOf(circles, picture);
  const cards = sampled.filter(({ circle }) => circle.role === "card");
  const patches = sampled.filter(({ circle }) => circle.role === "patch");
  const parts = sampled.filter(({ circle }) => circle.role === "part");
  if (!circles.some(({ role }) => role === "part")) {
    throw new InputError("No circle lies on the part", {
      toGive: true,
      field: "circles",
      wayOut: "Add a circle on the part",
    });
  }
  if (!circles.some(({ role }) => role !== "part")) {
    throw new InputError("No circle lies on a grey card or a patch of known colour", {
      toGive: true,
      field: "circles",
      wayOut: "Add one: without it the colour of the light cannot be told from that of the part",
    });
  }
  const way = wayOfLight(p, patches.length > 0);
  const asked = {
    cards: cards.map(({ sample }) => sample),
    patches: [
      ...(cards.length > 0
        ? [
            {
              label: cardLabel,
              samples: cards.map(({ sample }) => sample),
              Lab: [p.cardL, p.cardA, p.cardB] as [number, number, number],
            },
          ]
        : []),
      ...patches.map(({ circle, sample }) => ({
        label: circle.label,
        samples: [sample],
        Lab: circle.Lab as [number, number, number],
      })),
    ],
    parts: parts.map(({ circle, sample }) => ({ label: circle.id, sample })),
    white: weightsFor(p.observer, way.readIn).white,
    light: way.light,
    space: picture.space,
  };
  const answer = blaming(circlesAt, () => coloursOfSamples(asked));
  // What is wrong with a circle by itself is known already; a patch may also be left out of the correction.
  for (const { label, reasons } of answer.refused) {
    const patch = circles.find((circle) => circle.role === "patch" && circle.label === label);
    if (patch && !refused.has(patch.id)) refused.set(patch.id, reasons);
  }
  for (const [id, reasons] of refused) {
    note(`${circles.find((circle) => circle.id === id)?.label}: ${reasons.join("; ")}`);
  }
  if (answer.parts.length === 0) {
    throw new InputError(whyNothing(answer, circles, refused), {
      field: "circles",
      wayOut: "Move the circles, or photograph again",
    });
  }
  // That the light is not known says more than that it is another one.
  const told =
    p.scene === "unknown" ? answer.notes.filter((text) => !/in another light/.test(text)) : answer.notes;
  for (const text of [...way.notes, ...told]) note(sentence(text));
  return blaming(circlesAt, () => carried(p, way.readIn, answer, circles, refused, note));
}

/** Kept circles with what their pixels say; those that cannot be used are put aside with the reason. */
function samplesOf(circles: readonly KeptCircle[], { space }: KeptPhoto) {
  const refused = new Map<string, readonly string[]>();
  const sampled: { circle: KeptCircle; sample: CircleSample }[] = [];
  for (const circle of circles) {
    const sample = sampleOf(circle, space);
    if (!sample) refused.set(circle.id, ["not sampled yet: open the notebook in the workbench"]);
    else if (circle.role === "patch" && !circle.Lab) {
      refused.set(circle.id, ["its known colour is missing: type its Lab"]);
    } else {
      if (sample.refusals.length > 0) refused.set(circle.id, sample.refusals);
      sampled.push({ circle, sample });
    }
  }
  return { sampled, refused };
}

/**
 * In which light the colours are read off. A grey card is the same grey in every light: where the scene's own light is
 * known the colour is read in it and carried over by a curve, which is surer than reading across lights at once.
 */
function wayOfLight(
  { scene, illuminant, cardA, cardB }: Given,
  hasPatches: boolean,
): { readIn: string; light: PhotoLight; notes: string[] } {
  if (scene === illuminant) return { readIn: illuminant, light: "same", notes: [] };
  const grey = Math.hypot(cardA, cardB) <= greyEnough;
  if (scene !== "unknown" && !hasPatches && grey) {
    return {
      readIn: scene,
      light: "same",
      notes: [
        `read in ${labelOfIlluminant(scene)} and carried to ${labelOfIlluminant(illuminant)} by the smoothest curve`,
      ],
    };
  }
  const notes =
    scene === "unknown"
      ? ["the light of the scene is not known: it counts as another one than the colour is given under"]
      : [];
  return { readIn: illuminant, light: "other", notes };
}

function whyNothing(
  answer: PhotoAnswer,
  circles: readonly KeptCircle[],
  refused: ReadonlyMap<string, readonly string[]>,
): string {
  const bad = circles.filter(
    ({ id, role }) => refused.has(id) && (answer.fit ? role === "part" : role !== "part"),
  );
  const reasons = bad.map(({ id, label }) => `${label}: ${refused.get(id)!.join("; ")}`);
  return answer.fit
    ? `No circle on the part can be used. ${reasons.join(". ")}`
    : `No known colour in the picture can be used. ${reasons.join(". ")}`;
}

/** The mean of the part's circles, in the light that the colour is wanted for. */
function carried(
  { illuminant, observer }: Given,
  readIn: string,
  answer: PhotoAnswer,
  circles: readonly KeptCircle[],
  refused: ReadonlyMap<string, readonly string[]>,
  note: (text: string) => void,
): { Lab: Float64Array; report: PhotoReport } {
  const { parts, fit, fallOff } = answer;
  const labelOf = (id: string) => circles.find((circle) => circle.id === id)!.label;
  const statistics = readingStatistics(
    parts.map(({ Lab }) => Lab),
    parts.map(({ label }) => labelOf(label)),
    deltaE2000,
  );
  // That one circle has no spread goes without saying: the error estimate stands beside it.
  for (const text of parts.length > 1 ? statistics.notes : []) note(sentence(text));
  const counted = parts.filter((_, i) => !statistics.outliers.includes(i));
  /** What is to be said of the circles on the part, and of which of them. */
  const said = new Map<string, string[]>();
  for (const { label, sample } of counted) {
    for (const text of sample.notes) said.set(text, [...(said.get(text) ?? []), labelOf(label)]);
  }
  for (const [text, who] of said) note(`${who.join("; ")}: ${text}`);
  if (said.size === 0 && counted.some(({ beyondSpace }) => beyondSpace)) {
    note("The colour lies at the rim of what the picture can hold: the part may be more saturated than read");
  }
  let { Lab } = statistics;
  let carrying = 0;
  if (readIn !== illuminant) {
    const [there] = curveSpread(Lab, weightsFor(observer, readIn), [weightsFor(observer, illuminant)]).lights;
    Lab = there.Lab;
    carrying = there.ninety;
  }
  return {
    Lab,
    report: {
      parts: parts.map(({ label, Lab: own, error, beyondSpace, notes }) => ({
        id: label,
        label: labelOf(label),
        Lab: own,
        error,
        beyondSpace,
        notes,
      })),
      refused,
      model: fit!.model,
      residuals: fit!.residuals,
      fallOff: { model: fallOff.model, range: fallOff.range, residual: fallOff.residual },
      reading: Math.max(...counted.map(({ error }) => error.ninety)),
      carrying,
      statistics,
    },
  };
}

function sentence(text: string): string {
  return text[0].toUpperCase() + text.slice(1);
}
