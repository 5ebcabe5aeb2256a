import { blendOf } from "../../../src/coating/blend.ts";
import type { Component } from "../../../src/coating/component.ts";
import { Eye, type Seen } from "../../../src/coating/eye.ts";
import { groundReflectance } from "../../../src/coating/paintedPart.ts";
import { differenceOf } from "../../../src/colour/difference.ts";
import type { ComputeContext } from "../../../src/graph/defineCell.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import { signatureOf } from "../../../src/graph/signature.ts";
import { rankingTask } from "../../../src/ground/longTasks.ts";
import type { GroundOrder, GroundRankingRequest, RankedGround } from "../../../src/ground/rankGrounds.ts";
import { filmReflectanceInto, reflectivityInto } from "../../../src/optics/film.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { type GroundCoverage, groundJobOf, withGround } from "../../../src/ports/groundJob.ts";
import { eyeConditions } from "../../../src/ports/seenTarget.ts";
import type { KeptGround, KeptRanking } from "./kept.ts";
import { groundOrders, type Settings } from "./parameters.ts";

/** What a ranked ground looks like with the recipe and the coats of today. */
interface GroundPreview {
  readonly members: readonly Component[];
  /** The ground by itself, hiding everything. */
  readonly ground: Seen;
  readonly worst: { readonly part: string; readonly seen: Seen; readonly difference: number };
  /** Whether the basecoat cell can be set to it, and why not. */
  readonly hindrance: string | undefined;
}

/** Every pair and triple of paints and pastes as a ground, best first. */
export interface RankedGrounds {
  readonly coverage: GroundCoverage;
  readonly isStale: boolean;
  /** In the kept list's order; undefined where a member is no longer at hand. */
  readonly previews: readonly (GroundPreview | undefined)[];
}

/** Grounds kept from each order, beside all that nothing else beats. */
const keptOfEach = 10;
const mostKept = 60;

/** The kept list as it looks today. */
export function compute({ coverage: given }: { coverage: Coverage }, p: Settings): RankedGrounds {
  const coverage = withGround(given);
  return {
    coverage,
    isStale: p.found !== null && p.found.signature !== rankingSignature(rankingRequest(coverage, p), p),
    previews: p.found?.grounds.map((ground) => previewOf(ground, coverage)) ?? [],
  };
}

/** The kept grounds in an order, with their places in the kept list. */
export function inOrder(found: KeptRanking, order: GroundOrder): { ground: KeptGround; index: number }[] {
  return found.grounds
    .map((ground, index) => ({ ground, index }))
    .sort((p, q) => p.ground.places[order] - q.ground.places[order]);
}

/** Base paints proper at hand, and the pastes that may tint them. */
function shelf({ basecoat, recipe }: GroundCoverage): { paints: Component[]; tints: Component[] } {
  const paints = basecoat.available.filter(({ role }) => role !== "paste");
  const known = new Map(
    [...basecoat.available, ...recipe.available]
      .filter(({ role }) => role === "paste")
      .map((paste) => [paste.id, paste]),
  );
  // A set without base paints proper lends its pastes for both.
  return paints.length > 0
    ? { paints, tints: [...known.values()] }
    : { paints: [...basecoat.available], tints: [] };
}

function rankingRequest(
  coverage: GroundCoverage,
  { maxTint, maxCoats, transferEfficiency }: Settings,
): GroundRankingRequest {
  const { formula: _, paints: __, ...job } = groundJobOf(coverage);
  const { paints, tints } = shelf(coverage);
  return {
    ...job,
    paints,
    tints: maxTint > 0 ? tints : [],
    maxTint: maxTint / 100,
    oneBasecoatWet: coverage.basecoat.wetThickness,
    tolerance: coverage.viewing.tolerance,
    maxCoats,
    transferEfficiency: transferEfficiency / 100,
    sizes: [1, 2, 3],
    order: "difference",
  };
}

const rankingSignature = (request: GroundRankingRequest, { members }: Settings) =>
  signatureOf([request, members]);

/** Rank every ground, in the form kept in the notebook. */
export async function rank(
  given: Coverage | undefined,
  p: Settings,
  context: ComputeContext,
): Promise<KeptRanking> {
  const coverage = withGround(given as Coverage);
  const request = rankingRequest(coverage, p);
  // Loaded when first needed, so that the page starts without it.
  const { rankingOf } = await import("../../../src/ground/rankGrounds.ts");
  if (request.paints.length < 2 && request.tints.length === 0) {
    throw new InputError("There is one base paint and nothing to blend it with", {
      field: "coverage",
      wayOut: "Put another base paint into the set that the basecoat cell is linked to",
    });
  }
  const sizes = (least: number, most: number) =>
    [1, 2, 3].filter((size) => size >= least && size <= most && size <= request.paints.length);
  const part = (from: number, to: number) => (share: number, text?: string) =>
    context.progress(from + (to - from) * share, text);
  const plain = await context.run(
    rankingTask,
    { ...request, tints: [], sizes: sizes(2, p.members) },
    { onProgress: part(0, 0.2) },
  );
  // Every tinted ground comes with its plain one, which is known already.
  const ofTinted = sizes(1, p.members - 1);
  const tinted = await context.run(
    rankingTask,
    { ...request, sizes: request.tints.length > 0 ? ofTinted : [] },
    { onProgress: part(0.2, 1) },
  );
  const candidates = [...plain.grounds, ...tinted.grounds.filter(({ tint }) => tint !== undefined)];
  const again = ofTinted.reduce((sum, size) => sum + choices(request.paints.length, size), 0);
  const tried = plain.tried + Math.max(0, tinted.tried - again);
  const ranked = rankingOf(request, tried, candidates);
  return {
    signature: rankingSignature(request, p),
    tried,
    reduced: tried - candidates.length,
    notes: [...ranked.notes],
    grounds: chosen(ranked.grounds, (order) => rankingOf({ ...request, order }, 0, candidates).grounds).map(
      ({ ground, places }) => keptOf(ground, places, request, coverage),
    ),
  };
}

/** In how many ways so many of some paints can be chosen. */
function choices(paints: number, size: number): number {
  let count = 1;
  for (let k = 0; k < size; k++) count = (count * (paints - k)) / (k + 1);
  return count;
}

type Places = KeptGround["places"];

/** The first of every order and all that nothing else beats, with their places. */
function chosen(
  ranked: readonly RankedGround[],
  inOrderOf: (order: GroundOrder) => readonly RankedGround[],
): { ground: RankedGround; places: Places }[] {
  const key = ({ paints, tint }: RankedGround) => `${paints.join("+")}/${tint}`;
  const orders = groundOrders.map(({ value: order }) => ({
    order,
    place: new Map(inOrderOf(order).map((ground, k) => [key(ground), k + 1])),
  }));
  return ranked
    .map((ground) => ({
      ground,
      places: Object.fromEntries(orders.map(({ order, place }) => [order, place.get(key(ground))])) as Places,
    }))
    .filter(
      ({ ground, places }) =>
        ground.outstanding || Object.values(places).some((place) => place <= keptOfEach),
    )
    .slice(0, mostKept);
}

const round = (value: number, digits = 4): number => Math.round(value * 10 ** digits) / 10 ** digits;

function keptOf(
  ground: RankedGround,
  places: Places,
  { paints, tints }: GroundRankingRequest,
  { parts }: GroundCoverage,
): KeptGround {
  const members = [
    ...ground.paints.map((p) => paints[p]),
    ...(ground.tint === undefined ? [] : [tints[ground.tint]]),
  ];
  const worst = ground.differences.indexOf(Math.max(...ground.differences));
  return {
    members: members.map(({ id }, j) => ({ component: id, share: round(ground.shares[j], 5) })),
    tinted: ground.tint !== undefined,
    difference: round(ground.difference),
    worstPart: parts[worst].substrate.name,
    coats: ground.coats ?? null,
    hiding: round(ground.hiding),
    basecoatsToHide: ground.basecoatsToHide ?? null,
    contrastRatio: round(ground.contrastRatio),
    cost: ground.cost === undefined ? null : round(ground.cost),
    outstanding: ground.outstanding,
    words: ground.words,
    places,
  };
}

function previewOf(ground: KeptGround, coverage: GroundCoverage): GroundPreview | undefined {
  const { basecoat, recipe, parts, viewing, targetSeen } = coverage;
  const byId = new Map([...recipe.available, ...basecoat.available].map((c) => [c.id, c]));
  const members = ground.members.flatMap(({ component }) => byId.get(component) ?? []);
  if (members.length < ground.members.length) return undefined;
  const blend = blendOf(
    members,
    ground.members.map(({ share }) => share),
  );
  const eye = new Eye(eyeConditions(viewing));
  const formula = differenceOf(viewing.formula);
  const internal = new Float64Array(blend.absorption.length);
  reflectivityInto(blend.absorption, blend.scattering, internal);
  const seenGround = eye.see(internal);
  const dryThickness = basecoat.coats * basecoat.wetThickness * blend.mix.volumeSolids;
  let worst: GroundPreview["worst"] | undefined;
  for (const { substrate, painted } of parts) {
    const under = groundReflectance(substrate.internal, { ...blend, dryThickness });
    filmReflectanceInto(recipe.absorption, recipe.scattering, painted.dryThickness, under, internal);
    const seen = eye.see(internal);
    const d = formula(targetSeen.Lab, seen.Lab);
    if (!worst || d > worst.difference) worst = { part: substrate.name, seen, difference: d };
  }
  return { members, ground: seenGround, worst: worst!, hindrance: hindranceOf(members, coverage) };
}

function hindranceOf(members: readonly Component[], { basecoat }: GroundCoverage): string | undefined {
  if (members.length > 3) return "Four in one ground: mix it by hand, the basecoat cell takes three";
  const missing = members.find(({ id }) => !basecoat.available.some((other) => other.id === id));
  return missing
    ? `${missing.name} is not linked to the basecoat cell: link its set there, under “Tinting pastes”`
    : undefined;
}

/** What the basecoat cell must be set to for a ground of two or three members. */
export function basecoatSettings({ members }: Pick<KeptGround, "members">): {
  paints: string[];
  ratio: number;
  thirdShare: number;
} {
  const [first, second, third] = members.map(({ share }) => share);
  const two = first + second;
  return {
    paints: members.map(({ component }) => component),
    ratio: round(two > 0 ? second / two : 0.5, 4),
    thirdShare: round(third ?? 0, 4),
  };
}
