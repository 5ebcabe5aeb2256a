import { Eye } from "../coating/eye.ts";
import { mixFilmInto, mixOf } from "../coating/mix.ts";
import { LabToXYZ, XYZToLab } from "../colour/Lab.ts";
import type { ObserverName } from "../colour/observer.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { curvesWithLab, spreadAbout } from "../curves/curveSpread.ts";
import { type CurveFromLab, curveNearest, smoothestCurve } from "../curves/smoothestCurve.ts";
import { InputError } from "../graph/outcome.ts";
import { reflectivityInto } from "../optics/film.ts";
import { type SpecularMode, usualSurface } from "../optics/interface.ts";
import { fitTask } from "../recipes/longTasks.ts";
import { weightsFor } from "../tables/weights.ts";
import type { RunTask } from "../tasks/longTask.ts";
import type { PigmentSet } from "./pigmentSet.ts";
import { darkestShare, type StatedLabParameter, type SurfaceAnswer, surfaceModeOf } from "./statedLab.ts";
import type { AssumedCurve } from "./target.ts";

/** A Lab with its conditions. */
export interface StatedLab {
  readonly Lab: ArrayLike<number>;
  readonly observer: ObserverName;
  readonly illuminant: string;
  readonly specular: SpecularMode;
}

/** Lights in which the spread of curves with one Lab is told. */
const commonLights = ["D65", "A", "FL2", "FL11", "LED-B3"] as const;
/** Curves drawn for it: enough for a 90 % point that is steady to about a tenth. */
const drawn = 64;
const surface = usualSurface;
/** Greatest share of pastes; a film that hides shows their proportions only. */
const maxLoading = 0.25;

/**
 * The smoothest reflectance with a Lab.
 * @param note told what to be careful about   @param k1 external reflection of the surface that was read, 0…1
 */
export function smoothestFor(
  stated: StatedLab,
  note: (text: string) => void,
  k1 = surface.externalReflection,
): AssumedCurve {
  const below = belowSurface(stated, note, k1);
  return assumed(stated, below, smoothestCurve(below.Lab, below.weights), "smoothest", undefined, note);
}

/**
 * The smoothest reflectance of a Lab that was typed or read, and whether it holds the surface reflection.
 *
 * @param k1 external reflection of the surface that was read, 0…1   @param blamed field and way out of a Lab that is too dark
 * @throws InputError for a Lab that no part under this surface can have
 */
export function curveOfStated(
  stated: StatedLabParameter,
  answer: SurfaceAnswer,
  k1: number,
  note: (text: string) => void,
  blamed: { readonly field: string; readonly wayOut: string },
): { mode: SpecularMode; curve: AssumedCurve } {
  const darkest = darkestShare(stated);
  const mode = surfaceModeOf(answer, darkest, k1, note);
  if (mode === "included" && darkest <= k1) {
    throw new InputError(
      `This Lab is darker than the surface alone, which reflects ${(100 * k1).toFixed(1)} %`,
      blamed,
    );
  }
  const { L, a, b, observer, illuminant } = stated;
  return { mode, curve: smoothestFor({ Lab: [L, a, b], observer, illuminant, specular: mode }, note, k1) };
}

/**
 * The reflectance with a Lab that is nearest in shape to the nearest mixture of a pigment set in a film that hides.
 *
 * @param note told what to be careful about
 */
export async function mixtureFor(
  stated: StatedLab,
  { components, name }: PigmentSet,
  run: RunTask,
  note: (text: string) => void,
): Promise<AssumedCurve> {
  if (components.length < 2) {
    note(`${name} holds fewer than two components to mix: the smoothest curve is taken instead`);
    return smoothestFor(stated, note);
  }
  const below = belowSurface(stated, note);
  const { weights } = below;
  const sheen = stated.specular === "included" ? 1 : 0;
  const binder = components.findIndex(({ role }) => role === "binder");
  const fit = await run(fitTask, {
    components,
    binderIndex: Math.max(binder, 0),
    limits: { maxLoading },
    finish: { kind: "opaque" },
    target: { kind: "lab", Lab: Float64Array.from(stated.Lab) },
    lights: [{ weights, weight: 1 }],
    surface,
    sheen,
  });
  const { dryFractions } = mixOf(components, fit.volumes);
  const K = new Float64Array(weights.x.length);
  const S = new Float64Array(weights.x.length);
  mixFilmInto(components, dryFractions, K, S);
  const internal = new Float64Array(weights.x.length);
  reflectivityInto(K, S, internal);
  const { reflectance } = new Eye({ weights, surface, sheen: 0 }).see(internal);
  const z = reflectance.map((value) => {
    const inside = Math.min(Math.max(value, 1e-4), 1 - 1e-4);
    return Math.log(inside / (1 - inside));
  });
  const steps = Float64Array.from({ length: z.length - 1 }, (_, i) => z[i + 1] - z[i]);
  const pastes = components
    .map((component, i) => ({ component, volume: fit.volumes[i] }))
    .filter(({ component, volume }) => component.role !== "binder" && volume > 0.005);
  const sum = pastes.reduce((total, { volume }) => total + volume, 0);
  const mixture = {
    parts: pastes
      .map(({ component, volume }) => ({ name: component.name, share: (100 * volume) / sum }))
      .sort((a, b) => b.share - a.share),
    deltaE: fit.differences[0]?.[0] ?? Number.POSITIVE_INFINITY,
  };
  return assumed(stated, below, curveNearest(below.Lab, weights, steps), "mixture", mixture, note);
}

interface BelowSurface {
  readonly weights: TristimulusWeights;
  readonly Lab: Float64Array;
  /** What the surface adds to the reflectance. */
  readonly shift: number;
}

/** The Lab without the surface reflection, so that no curve falls below what the surface alone reflects. */
function belowSurface(
  stated: StatedLab,
  note: (text: string) => void,
  shift = surface.externalReflection,
): BelowSurface {
  const weights = weightsFor(stated.observer, stated.illuminant);
  const plain = { weights, Lab: Float64Array.from(stated.Lab), shift: 0 };
  if (stated.specular === "excluded") return plain;
  const XYZ = LabToXYZ(stated.Lab, weights.white, new Float64Array(3));
  for (let i = 0; i < 3; i++) XYZ[i] -= shift * weights.white[i];
  if (XYZ.some((value) => value <= 0)) {
    note(
      "The Lab is darker than the surface reflection it is said to include: was it read with the reflection excluded?",
    );
    return plain;
  }
  return { weights, Lab: XYZToLab(XYZ, weights.white, new Float64Array(3)), shift };
}

function assumed(
  stated: StatedLab,
  { weights, Lab, shift }: BelowSurface,
  curve: CurveFromLab,
  from: AssumedCurve["from"],
  mixture: AssumedCurve["mixture"],
  note: (text: string) => void,
): AssumedCurve {
  const raised = (values: Float64Array) => values.map((value) => value + shift);
  const reflectance = raised(curve.reflectance);
  if (curve.status === "infeasible") note(curve.notes[0]);
  const others =
    curve.status === "converged" ? curvesWithLab(Lab, weights, drawn, 1).map((other) => raised(other)) : [];
  const lights = commonLights
    .filter((name) => name !== stated.illuminant)
    .map((name) => weightsFor(stated.observer, name));
  return { from, reflectance, others, mixture, lights: spreadAbout(reflectance, others, lights) };
}
