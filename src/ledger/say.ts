import type { Component } from "../coating/component.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import { tradeWords } from "../colour/tradeWords.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { quantiles } from "../fit/quantiles.ts";
import { signatureOf } from "../graph/signature.ts";
import { type CalibratedShelf, calibrateShelf, type ShelfState } from "../shelf/calibrateShelf.ts";
import { handedOn } from "../shelf/handedOn.ts";
import { mixedUp } from "../shelf/mixedUp.ts";
import { nextPanels } from "../shelf/nextPanel.ts";
import { pasteDoubt } from "../shelf/pasteDoubt.ts";
import type { Shelf } from "../shelf/shelf.ts";
import { predictReading } from "../shelf/shelfPrediction.ts";
import { strengthByDate } from "../shelf/strengthByDate.ts";
import { meanWithoutItself } from "../shelf/withoutItself.ts";
import { jointToSave, type SavedJoint } from "../tables/savedJoint.ts";
import type { Progress } from "../tasks/longTask.ts";
import { type ErrorSoFar, errorsSoFar } from "./errorsSoFar.ts";
import { idOfPanel, keptNumbers } from "./panel.ts";
import { type PanelsOnShelf, type ShelfOfPanels, shelfOfPanels, withStacks } from "./panelShelf.ts";
import { candidatePanels, type PlannedPanel, stackOfPlan } from "./planPanels.ts";

/** What is asked of the panels. */
export interface SayRequest extends PanelsOnShelf {
  readonly seed: number;
  /** Draws kept for each prior. */
  readonly keep: number;
  /** Where the last answer ended; it is gone on from where these panels begin with those. */
  readonly from?: KeptState;
  /** How the error had fallen by then. */
  readonly errors?: readonly ErrorSoFar[];
  /** Ingredients of the recipe of the job, to plan panels with. */
  readonly recipe?: { readonly components: readonly Component[]; readonly volumes: readonly number[] };
}

/** A state to go on from, and what it belongs to. */
interface KeptState {
  readonly panels: readonly string[];
  readonly shelf: string;
  readonly bottles: readonly string[];
  readonly habits: readonly string[];
  readonly unit: number;
  readonly modes: readonly (readonly number[])[];
}

/** A paste as the panels have it. */
export interface SaidPaste {
  readonly name: string;
  /** Id on the shelf; empty for one that is not there. */
  readonly component: string;
  readonly absorption: readonly number[];
  readonly scattering: readonly number[];
  readonly absorptionSigma: readonly number[];
  readonly scatteringSigma: readonly number[];
  /** K and S of the bottle that was opened last, as drawn together with all others; for pastes on the shelf. */
  readonly joint?: SavedJoint;
  /** Mean ΔE00 that its doubt leaves in the panels it is in; null for one in no panel. */
  readonly doubt: number | null;
  /** Panels it is in. */
  readonly panels: number;
}

/** What is said of one panel. */
interface SaidPanel {
  readonly id: string;
  readonly used: boolean;
  /** ΔE00 to its prediction from all others, and within which nine of ten should lie. */
  readonly off: number;
  readonly band: number;
  readonly contradicts: boolean;
  /** How it differs from its prediction, in trade words; what was likely mixed up, where something explains it. */
  readonly words: string;
  readonly likely: string;
}

/** The strength of a bottle. */
export interface SaidBottle {
  readonly paste: string;
  readonly name: string;
  readonly date: string;
  /** Beside the mean of the paste's bottles, and its 90 % band. */
  readonly strength: number;
  readonly low: number;
  readonly high: number;
  /** Strength beside the bottle before, where the two surely differ. */
  readonly jump: number | null;
}

/** From a date on a paste is of another strength. */
export interface SaidShift {
  readonly paste: string;
  readonly date: string;
  /** Strength beside the one before. */
  readonly jump: number;
}

/** Everything that panels say. */
export interface PanelsSay {
  readonly pastes: readonly SaidPaste[];
  readonly panels: readonly SaidPanel[];
  readonly errors: readonly ErrorSoFar[];
  readonly bottles: readonly SaidBottle[];
  /** Pastes of which no bottles are told and that colour otherwise from a day on. */
  readonly shifts?: readonly SaidShift[];
  /** Mean ΔE00 expected between the job and its prediction. */
  readonly job: number | null;
  readonly next: readonly { readonly plan: PlannedPanel; readonly expected: number }[];
  /** Least share of the paths that were taken; far below a half the answer is not to be relied on. */
  readonly taken: number;
  readonly notes: readonly string[];
  readonly state: KeptState;
}

/** A panel further from its prediction than this many bands contradicts the others. */
const contradiction = 1.5;
/** Bottles surely differ when the band of their ratio leaves out 1, and by at least this share (common practice). */
const leastJump = 0.05;
/** What hand-laid panels are off in thickness and dose, 1σ (common practice). */
const hand = { thicknessSigma: 0.1, doseSigma: 0.03 } as const;
const exact = { thicknessSigma: 1e-3, doseSigma: 1e-3 } as const;
/** Grounds that panels are planned on. */
const mostGrounds = 3;
const planned = 3;

/** Learns from panels and tells what they say. @throws Error in words for panels that cannot be used together */
export function say(request: SayRequest, onProgress: Progress = () => {}): PanelsSay {
  const { seed, keep, weights, job } = request;
  const found = shelfOfPanels(request);
  const { told, panels, components } = found;
  const bench = benchOf(request, found);
  const plans = bench ? candidatePanels(bench) : [];
  const read = told.shelf.readings.length;
  const withPlans = bench
    ? withStacks(
        told,
        components,
        plans.map((plan) => stackOfPlan(plan, bench)),
        hand,
      )
    : told.shelf;
  const shelf = job ? withStacks({ ...told, shelf: withPlans }, components, [job], exact) : withPlans;
  const tag = tagOf(found);
  const from = request.from && stateFrom(request.from, tag);
  // A panel more is answered soon: by fewer draws, and what was said of the error before still holds.
  const result = calibrateShelf(shelf, { seed, keep: from ? keep / 2 : keep, from }, (share, text) =>
    onProgress(0.85 * share, text),
  );
  const before = from
    ? { panels: request.from?.panels.length ?? 0, errors: request.errors ?? [] }
    : undefined;
  const errors = errorsSoFar(
    told.shelf,
    from ? usedOf(panels) : byDate(panels),
    weights,
    (share) => onProgress(0.85 + 0.1 * share, "how the error fell"),
    before,
  );
  const next =
    job && plans.length > 0
      ? nextPanels(result.draws, {
          job: shelf.readings.length - 1,
          candidates: plans.map((_, k) => read + k),
          readings: shelf.readings.length,
          wavelengths: shelf.wavelengths,
          weights,
          steps: planned,
          seed,
        })
      : undefined;
  const bottles = bottlesSaid(found, result);
  const saidPanels = saidOf(shelf, result, found, weights, seed);
  onProgress(1);
  return {
    pastes: pastesOf(shelf, result, found, bottles, weights),
    panels: saidPanels,
    errors,
    bottles,
    shifts: shiftsSaid(shelf, result, found, saidPanels),
    job: next ? rounded(next.now) : null,
    next: (next?.panels ?? []).map(({ candidate, expected }) => ({
      plan: plans[candidate],
      expected: rounded(expected),
    })),
    taken: rounded(Math.min(...result.taken)),
    notes: found.notes,
    state: {
      ...tag,
      unit: result.state.unit,
      modes: result.state.modes.map((mode) => keptNumbers(mode, 4)),
    },
  };
}

const rounded = (value: number) => Number(value.toFixed(3));

function benchOf({ recipe }: SayRequest, { told, panels }: ShelfOfPanels) {
  if (!recipe) return undefined;
  const count = new Map<number, number>();
  for (const { ground } of told.shelf.readings) count.set(ground, (count.get(ground) ?? 0) + 1);
  const used = [...count].sort((a, b) => b[1] - a[1]).slice(0, mostGrounds);
  const grounds = used.map(([ground]) => ({
    name: told.places[told.shelf.readings.findIndex((reading) => reading.ground === ground)].row.ground,
    internal: told.shelf.grounds[ground],
  }));
  if (grounds.length === 0) return undefined;
  const wet = panels.flatMap((one) => {
    const thickness = one?.panel.thickness;
    return typeof thickness === "object" && thickness.basis === "wet" ? [thickness.value] : [];
  });
  wet.sort((a, b) => a - b);
  const wetThickness = Math.round(wet[wet.length >> 1] ?? 60);
  return { components: recipe.components, recipe: recipe.volumes, grounds, wetThickness };
}

/** What a state belongs to. */
function tagOf({ told, panels, components }: ShelfOfPanels): Omit<KeptState, "unit" | "modes"> {
  return {
    panels: told.shelf.readings.flatMap(({ seen, setAside }, r) =>
      seen && !setAside ? [idOfPanel((panels[r] as NonNullable<(typeof panels)[number]>).panel)] : [],
    ),
    shelf: signatureOf([
      told.shelf.components.map(({ name, known }) => [
        name,
        known?.absorption,
        known?.scattering,
        known?.relativeSigma,
      ]),
      components.map((one) => [one?.density, one?.volumeSolids]),
      told.shelf.surface.externalReflection,
      told.shelf.surface.internalReflection,
    ]),
    bottles: told.bottles.map(({ component, name }) => `${told.shelf.components[component].name}: ${name}`),
    habits: [...told.habits],
  };
}

/** A kept state in the form of the calibration, where these panels begin with those that it knows. */
function stateFrom(kept: KeptState, tag: ReturnType<typeof tagOf>): ShelfState | undefined {
  const begins = (whole: readonly string[], part: readonly string[]) =>
    part.every((one, k) => whole[k] === one);
  if (kept.shelf !== tag.shelf || !begins(tag.panels, kept.panels)) return undefined;
  if (!begins(tag.bottles, kept.bottles) || !begins(tag.habits, kept.habits)) return undefined;
  const { unit, bottles, habits, modes } = kept;
  return {
    unit,
    bottles: bottles.length,
    habits: habits.length,
    modes: modes.map((mode) => Float64Array.from(mode)),
  };
}

/** Readings of used panels in the order of the ledger. */
function usedOf(panels: ShelfOfPanels["panels"]): number[] {
  return panels.flatMap((one, r) => (one && one.panel.setAside === "" ? [r] : []));
}

/** The same in the order of their dates, those without a date first. */
function byDate(panels: ShelfOfPanels["panels"]): number[] {
  const date = (r: number) => panels[r]?.panel.date ?? "";
  return usedOf(panels).sort((a, b) => date(a).localeCompare(date(b), "en") || a - b);
}

function pastesOf(
  shelf: Shelf,
  result: CalibratedShelf,
  { components, told }: ShelfOfPanels,
  said: readonly SaidBottle[],
  weights: TristimulusWeights,
): SaidPaste[] {
  const points = shelf.wavelengths.length;
  const curves = shelf.components.length * points;
  const doubts = pasteDoubt(shelf, result, weights);
  const { draws } = result;
  const spread = (values: Float64Array, mean: Float64Array, at: number) =>
    keptNumbers(
      Float64Array.from({ length: points }, (_, i) => {
        let squares = 0;
        for (let d = 0; d < draws.count; d++) squares += (values[d * curves + at + i] - mean[at + i]) ** 2;
        return Math.sqrt(squares / draws.count);
      }),
      7,
    );
  const joint = handedOn(
    result,
    points,
    shelf.components.map((_, component) => {
      const bottle = told.bottles.findLastIndex((one) => one.component === component);
      return { component, bottle, strength: said[bottle]?.strength ?? 1 };
    }),
    signatureOf([draws.scale, draws.absorption.subarray(0, curves)]),
  );
  return shelf.components.map(({ name }, c) => {
    const at = c * points;
    const inside = shelf.readings.filter(
      ({ films, seen, setAside }) =>
        seen &&
        !setAside &&
        films.some((film) => shelf.films[film].parts.some((part) => part.component === c)),
    );
    const doubt = doubts[c];
    return {
      name,
      component: components[c]?.id ?? "",
      absorption: keptNumbers(result.absorption.subarray(at, at + points), 7),
      scattering: keptNumbers(result.scattering.subarray(at, at + points), 7),
      absorptionSigma: spread(draws.absorption, result.absorption, at),
      scatteringSigma: spread(draws.scattering, result.scattering, at),
      ...(components[c] && inside.length > 0 ? { joint: jointToSave(joint[c]) } : {}),
      doubt: doubt === undefined ? null : rounded(doubt),
      panels: inside.length,
    };
  });
}

function saidOf(
  shelf: Shelf,
  result: CalibratedShelf,
  { panels }: ShelfOfPanels,
  usual: TristimulusWeights,
  seed: number,
): SaidPanel[] {
  const { readings, wavelengths } = shelf;
  return panels.flatMap((one, r): SaidPanel[] => {
    const { seen, setAside } = readings[r];
    if (!one || !seen) return [];
    const weights = seen.kind === "Lab" ? seen.weights : usual;
    const colourOf = (R: Float64Array) => reflectanceToLab(R, weights, new Float64Array(3));
    const { Lab, band90 } = predictReading(result.draws, r, readings.length, wavelengths, weights, seed);
    const measured = seen.kind === "Lab" ? Float64Array.from(seen.Lab) : colourOf(seen.reflectance);
    // A panel set aside was no part of what was learnt.
    const others = setAside ? Lab : colourOf(meanWithoutItself(result.draws, r, readings.length, seen));
    const off = deltaE2000(measured, others);
    const contradicts = off > contradiction * band90;
    return [
      {
        id: one.id,
        used: !setAside,
        off: rounded(off),
        band: rounded(band90),
        contradicts,
        words: tradeWords(others, measured).text,
        likely: (contradicts && mixedUp(shelf, result, r, measured, weights)?.likely) || "",
      },
    ];
  });
}

function bottlesSaid({ told: { bottles, shelf } }: ShelfOfPanels, { draws }: CalibratedShelf): SaidBottle[] {
  const strengthOf = (b: number, beside?: number) => {
    const logs = Float64Array.from({ length: draws.count }, (_, d) => {
      const at = d * bottles.length;
      return draws.bottles[at + b] - (beside === undefined ? 0 : draws.bottles[at + beside]);
    });
    logs.sort();
    return quantiles(logs, [0.05, 0.5, 0.95]).map(Math.exp);
  };
  return bottles.map(({ component, name, date }, b) => {
    const [low, strength, high] = strengthOf(b).map(rounded);
    const before = bottles.findLastIndex((other, k) => k < b && other.component === component);
    const [least, ratio, most] = before < 0 ? [0, 1, 2] : strengthOf(b, before);
    const differs = (least > 1 || most < 1) && Math.abs(ratio - 1) > leastJump;
    const paste = shelf.components[component].name;
    return { paste, name, date, strength, low, high, jump: differs ? rounded(ratio) : null };
  });
}

/** A date that sorts as it stands. */
const sortable = /^\d{4}-\d{2}/;

function shiftsSaid(
  shelf: Shelf,
  result: CalibratedShelf,
  { panels, told: { bottles } }: ShelfOfPanels,
  said: readonly SaidPanel[],
): SaidShift[] {
  const odd = new Set(said.filter(({ contradicts }) => contradicts).map(({ id }) => id));
  const dated = panels.flatMap((one, reading) => {
    const isDated = one && !odd.has(one.id) && one.panel.setAside === "" && sortable.test(one.panel.date);
    return isDated ? [{ reading, date: one.panel.date }] : [];
  });
  return strengthByDate(shelf, result, dated)
    .filter(({ component }) => !bottles.some((bottle) => bottle.component === component))
    .map(({ component, date, ratio }) => ({
      paste: shelf.components[component].name,
      date,
      jump: rounded(ratio),
    }));
}
