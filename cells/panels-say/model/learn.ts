import type { Component } from "../../../src/coating/component.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import type { ParameterValues } from "../../../src/graph/parameters.ts";
import { signatureOf } from "../../../src/graph/signature.ts";
import type { KeptSay } from "../../../src/ledger/keptSay.ts";
import { idOfPanel } from "../../../src/ledger/panel.ts";
import type { PlannedStack } from "../../../src/ledger/panelShelf.ts";
import type { SaidPaste, SayRequest } from "../../../src/ledger/say.ts";
import { usualSurface } from "../../../src/optics/interface.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import {
  type ComponentParameter,
  componentFrom,
  componentToSave,
  type PigmentSet,
} from "../../../src/ports/pigmentSet.ts";
import { jointFrom } from "../../../src/tables/savedJoint.ts";
import { weightsFor } from "../../../src/tables/weights.ts";
import type { parameters } from "./parameters.ts";

type Settings = ParameterValues<typeof parameters>;

/** Draws kept for each prior: bands and plans need a few hundred in all. */
const keep = 64;

/** The pastes before any panel: as they were kept then, the others as they are now. */
function shelfBefore({ components }: PigmentSet, before: readonly ComponentParameter[]): Component[] {
  const kept = new Map(before.map((saved) => [saved.id, saved]));
  return components.map((component) => {
    const saved = kept.get(component.id);
    return saved ? componentFrom(saved) : component;
  });
}

/** Fingerprint of panels and shelf: what was learnt from others is marked. */
export function questionOf({ panels, before }: Settings, pigments: PigmentSet): string {
  const said = panels.map(({ id, panel }) => [
    ...[id, idOfPanel(panel), panel.setAside, panel.habit, panel.date],
    panel.parts.map(({ batch }) => batch),
  ]);
  const named = new Set(panels.flatMap(({ panel }) => panel.parts.map(({ component }) => component)));
  const shelf = shelfBefore(pigments, before).filter(({ id }) => named.has(id));
  return signatureOf([said, shelf.map(({ id, absorption, scattering }) => [id, absorption, scattering])]);
}

/** Fingerprint of the job for which panels are planned. */
export function jobOf(coverage: Coverage | undefined): string {
  const worst = coverage?.parts[coverage.worst];
  if (!coverage || !worst) return "";
  const { recipe, basecoat, viewing } = coverage;
  return signatureOf([
    worst.substrate.internal,
    recipe.components.map(({ id }, j) => [id, recipe.volumes[j]]),
    basecoat ? [basecoat.paints.map(({ id }) => id), basecoat.shares, basecoat.dryThickness] : [],
    worst.painted.dryThickness,
    [viewing.weights.illuminant, viewing.weights.observer],
  ]);
}

/** What is asked of the panels. @throws InputError when there are none */
export function requestOf(
  settings: Settings,
  pigments: PigmentSet,
  coverage: Coverage | undefined,
): SayRequest {
  const { panels, before, learnt } = settings;
  if (!panels.some(({ panel }) => panel.setAside === "")) {
    throw new InputError("There is no panel to learn from", {
      toGive: true,
      field: "panels",
      wayOut: "Hand readings on to the ledger and take them in here, or bring in panels as CSV",
    });
  }
  const viewing = coverage?.viewing;
  const recipe = coverage && {
    components: coverage.recipe.components,
    volumes: [...coverage.recipe.volumes],
  };
  return {
    panels,
    components: shelfBefore(pigments, before),
    surface: viewing?.surface ?? usualSurface,
    weights: viewing?.weights ?? weightsFor("1964-10", "D65"),
    seed: 1,
    keep,
    from: learnt?.said.state,
    errors: learnt?.said.errors,
    job: coverage && stackOf(coverage),
    recipe,
  };
}

/** The worst part of the job as films. */
function stackOf({ parts, worst, basecoat, recipe }: Coverage): PlannedStack | undefined {
  const part = parts[worst];
  if (!part) return undefined;
  const layer = (components: readonly Component[], wet: ArrayLike<number>, thickness: number) => {
    const dry = components.map(({ volumeSolids }, j) => volumeSolids * wet[j]);
    const total = dry.reduce((sum, one) => sum + one, 0);
    return {
      parts: components.map(({ id }, j) => ({ component: id, amount: (thickness * dry[j]) / total })),
    };
  };
  // Paints under the colour that are in no panel are no news: they stay as they are, in the ground.
  return {
    ground: basecoat ? part.ground : part.substrate.internal,
    layers: [layer(recipe.components, recipe.volumes, part.painted.dryThickness)],
  };
}

/** What has to be kept of the pastes that these panels change, so that nothing is counted twice. */
export function withBefore(
  before: readonly ComponentParameter[],
  pigments: PigmentSet,
  { pastes }: KeptSay["said"],
): ComponentParameter[] {
  const there = new Set(before.map(({ id }) => id));
  const found = pigments.components.filter(
    ({ id }) => !there.has(id) && pastes.some(({ component }) => component === id),
  );
  return [...before, ...found.map(componentToSave)];
}

/** A paste of the shelf with K and S as the panels have them, in the strength of the bottle that was opened last. */
export function taughtComponent(
  component: Component,
  { said }: KeptSay,
  date: string,
): Component | undefined {
  const paste = said.pastes.find((one: SaidPaste) => one.component === component.id && one.panels > 0);
  if (!paste) return undefined;
  const bottle = said.bottles.findLast((one) => one.paste === paste.name);
  const strength = bottle?.strength ?? 1;
  const of = (values: readonly number[]) => Float64Array.from(values, (value) => strength * value);
  const { ready: _ready, joint: _joint, ...rest } = component as Component & { ready?: unknown };
  return {
    ...rest,
    absorption: of(paste.absorption),
    scattering: of(paste.scattering),
    absorptionSigma: of(paste.absorptionSigma),
    scatteringSigma: of(paste.scatteringSigma),
    scaleSigma: undefined,
    ...(paste.joint ? { joint: jointFrom(paste.joint) } : {}),
    provenance: {
      kind: "calibrated",
      ...(date ? { when: date } : {}),
      note: `from ${paste.panels} panels together with the whole shelf${bottle ? `, in the strength of bottle ${bottle.name}` : ""}`,
      ...(component.provenance.price ? { price: component.provenance.price } : {}),
    },
  };
}

/** The notebook's own components with those that the panels have taught. */
export function taughtShelf(settings: Settings, pigments: PigmentSet): ComponentParameter[] {
  const { learnt, panels } = settings;
  if (!learnt) return [...pigments.added];
  const dates = panels.map(({ panel }) => panel.date).sort();
  const taught = pigments.components.flatMap((component) => {
    const next = taughtComponent(component, learnt, dates[dates.length - 1] ?? "");
    return next ? [componentToSave(next)] : [];
  });
  const ids = new Set(taught.map(({ id }) => id));
  return [...pigments.added.filter(({ id }) => !ids.has(id)), ...taught];
}
