import type { Component } from "../../../src/coating/component.ts";
import { deltaE2000 } from "../../../src/colour/difference.ts";
import {
  type LearnedScale,
  learnScale,
  type MeasuredPair,
  type Sharpness,
  sharpnessOf,
} from "../../../src/judgement/eyeScale.ts";
import { type NextPour, nextPour } from "../../../src/judgement/nextPour.ts";
import { type OddWord, oddWords } from "../../../src/judgement/oddWords.ts";
import {
  differenceWithin,
  holds,
  type JudgedPanel,
  type ReferenceCloud,
  referenceCloud,
} from "../../../src/judgement/referenceCloud.ts";
import { type Region, regionOf } from "../../../src/judgement/region.ts";
import { sizeEnds } from "../../../src/judgement/stepWords.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import type { EyePair, EyePanel } from "../../../src/ports/eyePanels.ts";
import { Memory } from "./memory.ts";
import { judgementOf, type ModelledPanel, modelled, shelfOf } from "./panels.ts";

/** The cloud after so many panels. */
interface Round {
  /** Index of the panel judged last. */
  readonly panel: number;
  readonly region: Region;
  /** ΔE00 from the mean within which the reference lies in 90 %. */
  readonly within: number;
}

/** The last panel is one with the reference as far as the eye goes. */
interface Ending {
  /** Said in words of the panel itself, or told by all the words together: it is nearer than any word reaches. */
  readonly why: "cannot tell" | "nearer than words";
  readonly panel: number;
  /** ΔE00 that is not exceeded in half of the cases, and in nine of ten. */
  readonly half: number;
  readonly couldHide: number;
}

/** How a later reading of the reference compares with the cloud. */
interface Grade {
  /** ΔE00 from the cloud's mean, and from the last panel, to the reading. */
  readonly difference: number;
  readonly lastPanel: number;
  /** Whether the region that was said to hold 90 % did. */
  readonly held: boolean;
}

/** All that the judgements say. */
export interface EyeReport {
  readonly coverage: Coverage;
  readonly components: readonly Component[];
  /** Judged panels that count, in the order of their judging. */
  readonly judged: readonly ModelledPanel[];
  readonly cloud: ReferenceCloud;
  readonly rounds: readonly Round[];
  readonly odd: readonly OddWord[];
  readonly sharpness: Sharpness;
  /** Words that the sharpness is known from, over all panels that were measured too. */
  readonly gradedWords: number;
  readonly ending: Ending | undefined;
  readonly next: NextPour | undefined;
  readonly grade: Grade | undefined;
}

interface EyeSettings {
  readonly panels: readonly EyePanel[];
  readonly pairs: readonly EyePair[];
  readonly pour: "any" | "addition" | "test mix";
  readonly potVolume: number;
  readonly pastes: "recipe" | "shelf";
}

const scales = new Memory<LearnedScale>(4);
const clouds = new Memory<ReferenceCloud>(24);

/**
 * What the judged panels say of the reference and of the eye.
 * @returns undefined while no panel is judged   @param reading CIELAB of the reference, where it was measured since
 */
export function reportOf(
  coverage: Coverage,
  settings: EyeSettings,
  reading: Float64Array | undefined,
): EyeReport | undefined {
  const components = shelfOf(coverage);
  const judged = settings.panels
    .filter(({ light }) => light === coverage.viewing.weights.illuminant)
    .map((kept) => modelled(coverage, components, kept))
    .filter(({ judgement }) => judgement !== undefined);
  if (judged.length === 0) return undefined;
  const panels = judged.map(
    ({ Lab, doubt, judgement }): JudgedPanel => ({ Lab, doubt, judgement: judgement! }),
  );
  const pairs = measuredPairs(settings.pairs);
  const scale = scaleFrom(pairs);
  const after = (count: number): ReferenceCloud => {
    const some = panels.slice(0, count);
    return clouds.of([some, pairs], () => referenceCloud(some, { eye: scale }));
  };
  const rounds = panels.map((_, k): Round => {
    const cloud = after(k + 1);
    return { panel: k, region: regionOf(cloud), within: cloud.within };
  });
  const cloud = after(panels.length);
  const last = judged[judged.length - 1];
  // Once the reference was measured, the panels grade the eye as judged and measured pairs do.
  const graded: MeasuredPair[] = reading
    ? [
        ...pairs,
        ...panels.map(({ Lab, doubt, judgement }) => ({ reference: reading, panel: Lab, judgement, doubt })),
      ]
    : pairs;
  const known = scaleFrom(graded);
  const half = differenceWithin(cloud, last.Lab, 0.5);
  const cannotTell = last.judgement!.every((step) => step === 0);
  return {
    coverage,
    components,
    judged,
    cloud,
    rounds,
    odd: cloud.random ? [] : oddWords(cloud, panels),
    sharpness: sharpnessOf(graded.length > 0 ? known : cloud.eye),
    gradedWords: known.words,
    ending:
      !cloud.random && (cannotTell || half < sizeEnds[0])
        ? {
            why: cannotTell ? "cannot tell" : "nearer than words",
            panel: judged.length - 1,
            half,
            couldHide: differenceWithin(cloud, last.Lab, 0.9),
          }
        : undefined,
    next: cloud.random || reading ? undefined : pourAfter(last, cloud, settings, coverage, components),
    grade: reading && {
      difference: deltaE2000(reading, cloud.Lab.mean),
      lastPanel: deltaE2000(reading, last.Lab),
      held: holds(cloud, reading),
    },
  };
}

const measuredPairs = (pairs: readonly EyePair[]): MeasuredPair[] =>
  pairs.flatMap(({ panel, reference, steps }) => {
    const judgement = judgementOf(steps);
    return judgement ? [{ panel, reference, judgement }] : [];
  });

const scaleFrom = (pairs: readonly MeasuredPair[]): LearnedScale => scales.of(pairs, () => learnScale(pairs));

function pourAfter(
  { paint, volumes, doubt }: ModelledPanel,
  cloud: ReferenceCloud,
  { pour, potVolume, pastes }: EyeSettings,
  { recipe }: Coverage,
  components: readonly Component[],
): NextPour | undefined {
  const total = volumes.reduce((sum, volume) => sum + volume, 0);
  const own = recipe.components.length;
  const usable = components.map((_, j) => j).filter((j) => pastes === "shelf" || j < own || volumes[j] > 0);
  return nextPour(paint, cloud, {
    last: volumes,
    pot: pour === "test mix" ? undefined : volumes.map((volume) => (volume * potVolume) / total),
    mix: pour !== "addition",
    usable,
    doubt,
  });
}
