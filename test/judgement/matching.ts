import { deltaE2000 } from "../../src/colour/difference.ts";
import { anyEye, type LearnedScale } from "../../src/judgement/eyeScale.ts";
import {
  holds,
  type JudgedPanel,
  type ReferenceCloud,
  referenceCloud,
} from "../../src/judgement/referenceCloud.ts";
import { poured, type Scene } from "./shelfScene.ts";
import type { Observer, Random } from "./simulatedObserver.ts";

export interface Round {
  readonly cloud: ReferenceCloud;
  /** ΔE00 of the cloud's mean, and of the panel judged, to the reference. */
  readonly mean: number;
  readonly panel: number;
  readonly holds: boolean;
}

/** Judges panels one after the other, each poured where the cloud's mean is. */
export function match(
  { reference, first }: Scene,
  eye: Observer,
  random: Random,
  panels: number,
  scale: LearnedScale = anyEye,
): Round[] {
  const judged: JudgedPanel[] = [];
  const rounds: Round[] = [];
  let next = first;
  for (let panel = 0; panel < panels; panel++) {
    const real = poured(next, random);
    judged.push({ Lab: next, judgement: eye.judge(reference, real) });
    const cloud = referenceCloud(judged, { eye: scale });
    rounds.push({
      cloud,
      mean: deltaE2000(reference, cloud.Lab.mean),
      panel: deltaE2000(reference, real),
      holds: holds(cloud, reference),
    });
    next = cloud.Lab.mean;
  }
  return rounds;
}
