import { blendOf } from "../coating/blend.ts";
import type { Component } from "../coating/component.ts";
import { Eye } from "../coating/eye.ts";
import { buildUp, coatsWithin } from "../coating/paintedPart.ts";
import type { Coat } from "../coating/thickness.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { reflectivityInto } from "../optics/film.ts";
import type { Coverage } from "../ports/coverage.ts";
import type { Recipe } from "../ports/recipe.ts";
import { eyeConditions } from "../ports/seenTarget.ts";
import type { Batch, JobBatch, PaintPlan } from "./batch.ts";
import { batchOf } from "./batchOf.ts";

/** The same job in a colour that hides well, laid straight on the parts until it looks opaque. */
export interface Counterpart {
  readonly name: string;
  /** Coats it takes on the part that asks for most. */
  readonly coats: number;
  readonly batch: Batch;
}

/** A mix to compare with. */
export type ComparedMix = Pick<Recipe, "components" | "volumes" | "mix" | "absorption" | "scattering">;

/** Coats tried before a colour counts as not hiding. */
export const mostCoats = 12;

/** Loading of the grey that is made up for comparison: common practice for a colour that hides. */
const greyLoading = 0.18;

/**
 * The same parts, coat plan, losses and settings, but in another colour without basecoat, with as many coats as it
 * takes on every part until it is within the viewing tolerance of its own opaque film.
 *
 * @returns undefined when it does not hide within `mostCoats`
 */
export function counterpartOf(batch: JobBatch, name: string, mix: ComparedMix): Counterpart | undefined {
  const { coverage, settings } = batch;
  const coats = coatsToHide(coverage, mix);
  if (coats === undefined) return undefined;
  const plan: PaintPlan = {
    parts: coverage.parts.map((part) => part.substrate),
    basecoat: undefined,
    colour: {
      components: mix.components,
      volumes: mix.volumes,
      mix: mix.mix,
      coats: plannedCoats(coverage, coats),
    },
  };
  return { name, coats, batch: batchOf(plan, settings) };
}

/** The job's own coats in order; further ones repeat the last. */
function plannedCoats({ colourCoats: { coats } }: Coverage, count: number): Coat[] {
  return Array.from({ length: count }, (_, i) => coats[Math.min(i, coats.length - 1)]);
}

function coatsToHide(coverage: Coverage, mix: ComparedMix): number | undefined {
  const { viewing } = coverage;
  const eye = new Eye(eyeConditions(viewing));
  const opaque = new Float64Array(mix.absorption.length);
  reflectivityInto(mix.absorption, mix.scattering, opaque);
  const { Lab } = eye.see(opaque);
  const dry = plannedCoats(coverage, mostCoats).map((coat) => coat.wetThickness * mix.mix.volumeSolids);
  let most = 1;
  for (const { substrate } of coverage.parts) {
    const steps = buildUp(substrate.internal, mix, dry, eye);
    const coats = coatsWithin(
      steps.map((step) => deltaE2000(Lab, step.Lab)),
      viewing.tolerance,
    );
    if (coats === undefined) return undefined;
    most = Math.max(most, coats);
  }
  return most;
}

/**
 * A mid grey (L* 50 in an opaque film) of the whitest and the blackest paste of a shelf, to compare a colour with.
 * @returns undefined when the shelf has no binder or not two pastes that make such a grey
 */
export function wellHidingGrey(
  shelf: readonly Component[],
  coverage: Coverage,
): { name: string; mix: ComparedMix } | undefined {
  const pastes = shelf.filter((component) => component.role === "paste");
  const binder = shelf.find((component) => component.role === "binder");
  if (!binder || pastes.length < 2) return undefined;
  const eye = new Eye(eyeConditions(coverage.viewing));
  const internal = new Float64Array(binder.absorption.length);
  const opaque = ({ absorption, scattering }: Pick<Component, "absorption" | "scattering">) => {
    reflectivityInto(absorption, scattering, internal);
    return internal;
  };
  const lightness = (film: Pick<Component, "absorption" | "scattering">) => eye.see(opaque(film)).Lab[0];
  // By the worst wavelength of each, or a deep violet could pass for a black.
  const highest = (paste: Component) => Math.max(...opaque(paste));
  const lowest = (paste: Component) => Math.min(...opaque(paste));
  const black = pastes.reduce((best, paste) => (highest(paste) < highest(best) ? paste : best));
  const white = pastes.reduce((best, paste) => (lowest(paste) > lowest(best) ? paste : best));
  const components = [white, black, binder];
  const loading = Math.min(greyLoading, coverage.recipe.maxLoading);
  const volumesFor = (blackShare: number) =>
    Float64Array.from([100 * loading * (1 - blackShare), 100 * loading * blackShare, 100 * (1 - loading)]);
  const lightnessFor = (blackShare: number) => lightness(blendOf(components, volumesFor(blackShare)));
  let [light, dark] = [0, 1];
  if (lightnessFor(dark) > 50 || lightnessFor(light) < 50) return undefined;
  for (let i = 0; i < 40; i++) {
    const middle = (light + dark) / 2;
    if (lightnessFor(middle) > 50) light = middle;
    else dark = middle;
  }
  const volumes = volumesFor((light + dark) / 2);
  return {
    name: `mid grey of ${white.name} and ${black.name}`,
    mix: { components, volumes, ...blendOf(components, volumes) },
  };
}
