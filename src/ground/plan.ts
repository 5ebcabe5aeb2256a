import type { Component } from "../coating/component.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import type { AmountLimits } from "../recipes/recipeLimits.ts";
import type { FurtherWet } from "./job.ts";
import type { CoatChoices, PlanStep } from "./planSteps.ts";

/** A light, the target as seen in it, and the ΔE00 that passes there. */
export interface PlanLight {
  readonly weights: TristimulusWeights;
  readonly target: ArrayLike<number>;
  readonly tolerance: number;
}

/** Basecoat, recipe and coats to be found together. Plain data, so that it can be sent to a worker. */
export interface JointPlanRequest {
  /** One to three base paints. */
  readonly paints: readonly Component[];
  /** What the colour may hold; one of them fills it up. */
  readonly components: readonly Component[];
  readonly binderIndex: number;
  readonly amounts: AmountLimits;
  /** A recipe to start from, any unit. */
  readonly startVolumes: ArrayLike<number>;
  /** Internal reflectance of every part on the working grid. */
  readonly substrates: readonly Float64Array[];
  /** Colour that single parts get beyond the coats chosen; none when left out. */
  readonly more?: FurtherWet;
  readonly surface: SurfaceConstants;
  readonly sheen: number;
  /** The main light first. */
  readonly lights: readonly PlanLight[];
  readonly coats: CoatChoices;
  /** Area of the whole job, m². */
  readonly area: number;
  /** Share of the sprayed coating that ends up on the parts, above 0, up to 1. */
  readonly transferEfficiency: number;
  /**
   * Greatest dry film of basecoat and colour together on any part, µm; 60 when left out (common practice: thicker films
   * crack).
   */
  readonly maxDryBuild?: number;
  readonly goal: "volume" | "cost";
}

/** A way of doing the whole job. */
export interface JointPlan extends PlanStep {
  /** Share of each base paint in the wet basecoat. */
  readonly shares: Float64Array;
  /** mL of each component in 100 mL of the colour. */
  readonly volumes: Float64Array;
  /** ΔE00 of each part (outer) in each light. */
  readonly differences: readonly Float64Array[];
  /** Greatest ΔE00 in the main light. */
  readonly worst: number;
  /** Greatest share of its tolerance that any part uses up in any light; 1 or less passes. */
  readonly usedUp: number;
  /** Basecoat and colour to be mixed, mL, losses included. */
  readonly basecoatVolume: number;
  readonly colourVolume: number;
  readonly volume: number;
  /** Undefined when a component in use has no price. */
  readonly cost: number | undefined;
  /** Dry film of basecoat and colour where it is thickest, µm. */
  readonly dryBuild: number;
}
