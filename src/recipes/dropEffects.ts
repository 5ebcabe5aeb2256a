import type { Component } from "../coating/component.ts";
import { aboveZero, atLeastZero, each, ofLength } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { LabToLCh } from "../colour/Lab.ts";
import { tradeWords } from "../colour/tradeWords.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { sumOf } from "../fit/sumOf.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import { recipeDepths } from "./depths.ts";
import type { Finish } from "./finish.ts";
import { ForwardModel } from "./forward.ts";

export interface DropRequest {
  /** Everything that might be dropped in, the mix's own components among them. */
  readonly components: readonly Component[];
  readonly binderIndex: number;
  /** mL of each component in the pot. */
  readonly volumes: ArrayLike<number>;
  /** Drops to the mL, for each component. */
  readonly dropsPerMl: ArrayLike<number>;
  readonly finish: Finish;
  /** Which ground the effect is seen on; the first when left out. */
  readonly ground?: number;
  readonly weights: TristimulusWeights;
  readonly surface: SurfaceConstants;
  readonly sheen: number;
}

/** What one drop of a component does to the colour of a mix. */
export interface DropEffect {
  readonly component: number;
  /** CIELAB of the mix with the drop. */
  readonly Lab: Float64Array;
  readonly lightness: number;
  readonly a: number;
  readonly b: number;
  readonly chroma: number;
  /** Change of hue angle, degrees, −180…180. */
  readonly hue: number;
  /** ΔE00 of the move. */
  readonly difference: number;
  /** The move in trade words: "slightly darker, bluer". */
  readonly words: string;
}

export interface DropEffects {
  /** CIELAB of the mix as it is. */
  readonly Lab: Float64Array;
  readonly effects: readonly DropEffect[];
}

/** Parts of a move smaller than this share of it go unnamed. */
const namedShare = 0.3;
/** A move of less than this (ΔE00) is not worth a word. */
const hardly = 0.005;

/**
 * The move of the colour for one drop of every component, by predicting the mix with the drop in it (no linearisation: the
 * drop also thins the others).
 *
 * @throws RangeError for an empty pot or drops out of range; TypeError when lists differ in length
 */
export function dropEffects({
  components,
  binderIndex,
  volumes,
  dropsPerMl,
  finish,
  ground = 0,
  weights,
  surface,
  sheen,
}: DropRequest): DropEffects {
  ofLength("volumes", volumes, components.length);
  ofLength("drops per mL", dropsPerMl, components.length);
  each("volume", volumes, atLeastZero, "mL");
  each("drops per mL", dropsPerMl, aboveZero);
  const total = sumOf(volumes);
  aboveZero("volume in the pot", total, "mL");
  const depths = recipeDepths(components, binderIndex, finish);
  const forward = new ForwardModel({
    depths,
    finish,
    surface,
    sheen,
    lights: [{ weights, weight: 1 }],
    targets: [[50, 0, 0]],
  });
  if (ground >= forward.grounds) throw new RangeError(`ground = ${ground}: must be below ${forward.grounds}`);
  const labs = new Float64Array(3 * forward.grounds);
  const LabOf = (drop: number): Float64Array => {
    const added = drop < 0 ? 0 : 1 / dropsPerMl[drop];
    const x = Float64Array.from(
      depths.componentOf,
      (j) => (volumes[j] + (j === drop ? added : 0)) / (total + added),
    );
    forward.labsInto(x, labs);
    return labs.slice(3 * ground, 3 * ground + 3);
  };
  const Lab = LabOf(-1);
  const LCh = LabToLCh(Lab, new Float64Array(3));
  const after = new Float64Array(3);
  const effects = components.map((_, component): DropEffect => {
    const moved = LabOf(component);
    LabToLCh(moved, after);
    const turn = after[2] - LCh[2];
    const difference = deltaE2000(Lab, moved);
    return {
      component,
      Lab: moved,
      lightness: moved[0] - Lab[0],
      a: moved[1] - Lab[1],
      b: moved[2] - Lab[2],
      chroma: after[1] - LCh[1],
      hue: turn > 180 ? turn - 360 : turn < -180 ? turn + 360 : turn,
      difference,
      words:
        difference < hardly ? "hardly any change" : tradeWords(Lab, moved, 2 * namedShare * difference).short,
    };
  });
  return { Lab, effects };
}
