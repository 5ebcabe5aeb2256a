import { blendOf } from "../coating/blend.ts";
import type { Component } from "../coating/component.ts";
import { Eye } from "../coating/eye.ts";
import { buildUp, groundReflectance } from "../coating/paintedPart.ts";
import { deltaE2000, differenceOf } from "../colour/difference.ts";
import { XYZToLab } from "../colour/Lab.ts";
import { tradeWords } from "../colour/tradeWords.ts";
import { InputError } from "../graph/outcome.ts";
import { wetsOnOf } from "../ports/coatPlan.ts";
import type { ComparedStep } from "../ports/coverage.ts";
import { eyeConditions, seeTarget } from "../ports/seenTarget.ts";
import type { Viewing } from "../ports/viewing.ts";
import { type BatchLayer, type JobBatch, type LayerKind, layerOf } from "./batch.ts";

/** What was really weighed, g; components that are not listed went in as planned. */
export interface Weighed {
  readonly layer: "basecoat" | "colour";
  /** id of the component */
  readonly component: string;
  readonly grams: number;
}

/** Coats that were really laid; layers that are not listed got what was planned. */
export interface CoatsLaid {
  readonly layer: LayerKind;
  readonly coats: number;
}

/** A reading on a finished part, in the main light and observer of the viewing cell. */
export interface MeasuredPart {
  readonly part: string;
  readonly L: number;
  readonly a: number;
  readonly b: number;
}

export interface AsBuilt {
  readonly weighed: readonly Weighed[];
  readonly coats: readonly CoatsLaid[];
  readonly measured: readonly MeasuredPart[];
  /** whether the instrument counted the surface reflection in */
  readonly specular: "included" | "excluded";
}

interface RecordedAmount {
  readonly layer: "basecoat" | "colour";
  readonly component: Component;
  /** g */
  readonly planned: number;
  readonly weighed: number | undefined;
}

interface RecordedCoats {
  readonly layer: BatchLayer;
  readonly planned: number;
  readonly laid: number;
}

export interface RecordedPart {
  readonly name: string;
  /** As planned, and with what was really weighed and laid. */
  readonly planned: Pick<ComparedStep, "Lab" | "XYZ" | "difference">;
  readonly asBuilt: Pick<ComparedStep, "Lab" | "XYZ" | "difference">;
  /** CIELAB that the instrument should show, if the prediction with as-built values is right. */
  readonly expected: Float64Array;
  /** Reading as seen under the viewing cell's sheen. */
  readonly measured: { readonly Lab: Float64Array; readonly XYZ: Float64Array } | undefined;
  readonly measuredDifference: number | undefined;
  /** ΔE00 from the prediction with as-built values to the reading: what the model got wrong. */
  readonly modelMiss: number | undefined;
  /** ΔE00 from the planned prediction to the one with as-built values: what the bench changed. */
  readonly benchMiss: number;
  /** How the part differs from the prediction, in trade words. */
  readonly words: string;
}

/** The colour as it is in the pot, and a reading of what it painted. */
interface CorrectionStart {
  /** mL really poured of each component of the recipe. */
  readonly pot: readonly { readonly component: string; readonly volume: number }[];
  /** The measured part that misses the target most: its number among the coverage's parts from 1, and its reading. */
  readonly panel:
    | (Omit<MeasuredPart, "part"> & { readonly part: number; readonly specular: AsBuilt["specular"] })
    | undefined;
}

/** A job as built beside the job as planned. */
export interface JobRecord {
  readonly batch: JobBatch;
  readonly amounts: readonly RecordedAmount[];
  readonly coats: readonly RecordedCoats[];
  readonly parts: readonly RecordedPart[];
  /** What a correction of the mix starts from. */
  readonly start: CorrectionStart;
  readonly entries: readonly RecordEntry[];
}

/** One finished part of one job, as kept from job to job. */
export interface RecordEntry {
  readonly job: string;
  readonly date: string;
  readonly part: string;
  /** Difference to the target: planned, with as-built values, measured. */
  readonly planned: number | null;
  readonly asBuilt: number | null;
  readonly measured: number | null;
  /** ΔE00 between prediction with as-built values and reading. */
  readonly modelMiss: number;
}

/**
 * Compare a job as built with its plan.
 * @throws RangeError for a negative weight; InputError for a reading that cannot be
 */
export function recordOf(batch: JobBatch, asBuilt: AsBuilt, entries: readonly RecordEntry[]): JobRecord {
  const { coverage } = batch;
  const { viewing, targetSeen, colourCoats, basecoat } = coverage;
  const amounts = amountsOf(batch, asBuilt.weighed);
  const coats = batch.layers.map((layer): RecordedCoats => {
    const laid = asBuilt.coats.find((entry) => entry.layer === layer.kind)?.coats;
    return { layer, planned: layer.coats.length, laid: laid ?? layer.coats.length };
  });
  const laid = (kind: LayerKind) => coats.find(({ layer }) => layer.kind === kind)?.laid ?? 0;
  const poured = pouredOf("colour", amounts);
  const colour = blendOf(poured.components, poured.volumes);
  const ground = pouredOf("basecoat", amounts);
  const basecoatCoats = laid("basecoat");
  const baseBlend = ground.components.length > 0 ? blendOf(ground.components, ground.volumes) : undefined;
  const film =
    baseBlend && basecoat && basecoatCoats > 0
      ? { ...baseBlend, dryThickness: basecoatCoats * basecoat.wetThickness * baseBlend.mix.volumeSolids }
      : undefined;
  const eye = new Eye(eyeConditions(viewing));
  const difference = differenceOf(viewing.formula);
  const parts = coverage.parts.map((part): RecordedPart => {
    const { substrate } = part;
    // What is laid is said of the coats that all parts get; a part's own come on top.
    const wet = wetsOnOf(colourCoats, substrate, laid("colour") + (substrate.moreCoats ?? 0));
    const steps = buildUp(
      groundReflectance(part.substrate.internal, film),
      colour,
      wet.map((thickness) => thickness * colour.mix.volumeSolids),
      eye,
    );
    const end = steps[steps.length - 1];
    const reading = asBuilt.measured.find((measured) => measured.part === part.substrate.name);
    const measured = reading && seenReading(reading, asBuilt.specular, viewing);
    return {
      name: part.substrate.name,
      planned: part.painted,
      asBuilt: { ...end, difference: targetSeen && difference(targetSeen.Lab, end.Lab) },
      expected: instrumentLab(end.XYZ, asBuilt.specular, viewing),
      measured,
      measuredDifference: measured && targetSeen && difference(targetSeen.Lab, measured.Lab),
      modelMiss: measured && deltaE2000(end.Lab, measured.Lab),
      benchMiss: deltaE2000(part.painted.Lab, end.Lab),
      words: measured ? tradeWords(end.Lab, measured.Lab).text : "",
    };
  });
  return { batch, amounts, coats, parts, start: startOf(poured, parts, asBuilt), entries };
}

function startOf(
  { components, volumes }: ReturnType<typeof pouredOf>,
  parts: readonly RecordedPart[],
  { measured, specular }: AsBuilt,
): CorrectionStart {
  let worst = -1;
  parts.forEach(({ measuredDifference }, i) => {
    if (measuredDifference === undefined) return;
    if (worst < 0 || measuredDifference > parts[worst].measuredDifference!) worst = i;
  });
  const reading = measured.find(({ part }) => part === parts[worst]?.name);
  return {
    pot: components.map(({ id }, j) => ({ component: id, volume: volumes[j] })),
    panel: reading && { part: worst + 1, L: reading.L, a: reading.a, b: reading.b, specular },
  };
}

/** A reading moved to what the eye sees under the viewing cell's sheen. */
function seenReading(
  { part, L, a, b }: MeasuredPart,
  specular: AsBuilt["specular"],
  viewing: Viewing,
): { Lab: Float64Array; XYZ: Float64Array } {
  const { observer, illuminant } = viewing.weights;
  const Lab = Float64Array.of(L, a, b);
  try {
    return seeTarget({ kind: "lab", label: part, Lab, observer, illuminant, specular }, viewing);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw new InputError(`${part}: ${error.message}`, {
      field: "measured",
      wayOut: error.wayOut,
      cause: error,
    });
  }
}

/** CIELAB as an instrument reads what the eye sees: all of the surface reflection counted in, or none of it. */
function instrumentLab(
  XYZ: ArrayLike<number>,
  specular: AsBuilt["specular"],
  { weights, sheen, surface }: Viewing,
): Float64Array {
  const shift = (specular === "included" ? 1 - sheen : -sheen) * surface.externalReflection;
  const read = Float64Array.from(XYZ, (value, i) => value + shift * weights.white[i]);
  const Lab = new Float64Array(3);
  XYZToLab(read, weights.white, Lab);
  return Lab;
}

function amountsOf(batch: JobBatch, weighed: readonly Weighed[]): RecordedAmount[] {
  return (["basecoat", "colour"] as const).flatMap((kind) => {
    const recipe = layerOf(batch, kind)?.recipe;
    if (!recipe) return [];
    return recipe.components.map((component, i): RecordedAmount => {
      const entry = weighed.find((one) => one.layer === kind && one.component === component.id);
      if (entry && !(entry.grams >= 0 && Number.isFinite(entry.grams)))
        throw new RangeError(`${component.name} weighed = ${entry.grams} g: must be at least 0`);
      return { layer: kind, component, planned: recipe.poured.amounts[i].mass, weighed: entry?.grams };
    });
  });
}

function pouredOf(kind: "basecoat" | "colour", amounts: readonly RecordedAmount[]) {
  const own = amounts.filter(({ layer }) => layer === kind);
  return {
    components: own.map(({ component }) => component),
    volumes: Float64Array.from(
      own,
      ({ component, planned, weighed }) => (weighed ?? planned) / component.density,
    ),
  };
}

/** Entries for the history from the parts of a record that were measured. */
export function entriesOf({ parts }: Pick<JobRecord, "parts">, job: string, date: string): RecordEntry[] {
  return parts.flatMap(({ name, planned, asBuilt, measuredDifference, modelMiss }) =>
    modelMiss === undefined
      ? []
      : [
          {
            job,
            date,
            part: name,
            planned: planned.difference ?? null,
            asBuilt: asBuilt.difference ?? null,
            measured: measuredDifference ?? null,
            modelMiss,
          },
        ],
  );
}

/** Add entries to a history; one of the same job, day and part is replaced. */
export function withEntries(history: readonly RecordEntry[], added: readonly RecordEntry[]): RecordEntry[] {
  const same = (a: RecordEntry, b: RecordEntry) => a.job === b.job && a.date === b.date && a.part === b.part;
  return [...history.filter((old) => !added.some((entry) => same(old, entry))), ...added];
}

/** Half of the model's misses are no larger than this; undefined without entries. */
export function typicalMiss(entries: readonly Pick<RecordEntry, "modelMiss">[]): number | undefined {
  if (entries.length === 0) return undefined;
  const sorted = entries.map(({ modelMiss }) => modelMiss).sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return sorted.length % 2 === 1 ? sorted[Math.floor(middle)] : (sorted[middle - 1] + sorted[middle]) / 2;
}
