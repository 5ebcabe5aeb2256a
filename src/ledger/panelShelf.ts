import type { Component } from "../coating/component.ts";
import { workingGrid } from "../colour/grid.ts";
import type { ObserverName } from "../colour/observer.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import { rowLight } from "../shelf/rowLight.ts";
import type { Shelf, ShelfFilm } from "../shelf/shelf.ts";
import { type ShelfOfRows, shelfFromRows } from "../shelf/shelfFromRows.ts";
import { illuminantNames } from "../tables/illuminants.ts";
import type { ShelfFile } from "../tables/shelfFile.ts";
import { weightsFor } from "../tables/weights.ts";
import type { Panel } from "./panel.ts";
import { rowsOfPanels } from "./shelfRows.ts";

/** Films one on another that are not read but asked about. */
export interface PlannedStack {
  /** Internal reflectance of what lies below, on the working grid. */
  readonly ground: Float64Array;
  /** From below; dry thickness that each component takes, µm. */
  readonly layers: readonly {
    readonly parts: readonly { readonly component: string; readonly amount: number }[];
  }[];
}

/** Panels, and the shelf as it is known without them. */
export interface PanelsOnShelf {
  readonly panels: readonly { readonly id: string; readonly panel: Panel }[];
  readonly components: readonly Component[];
  readonly surface: SurfaceConstants;
  readonly weights: TristimulusWeights;
  /** What is asked about besides. */
  readonly job?: PlannedStack;
}

/** The shelf that panels tell of. */
export interface ShelfOfPanels {
  readonly told: ShelfOfRows;
  /** Of each reading of the shelf its panel; undefined for films that only lie below others. */
  readonly panels: readonly ({ readonly id: string; readonly panel: Panel } | undefined)[];
  /** Component of the shelf at hand for each of the calibration, where it is on the shelf. */
  readonly components: readonly (Component | undefined)[];
  /** Panels that could not be used, in words. */
  readonly notes: readonly string[];
}

/**
 * 1σ, as a share, of the K and S of a component of which no doubt is stated: what pastes of one pigment differ by from
 * maker to maker (common practice).
 */
const unstatedDoubt = 0.3;
/** No calibration of a single paste is better than this (common practice). */
const leastDoubt = 0.05;

/** How uncertain K and S of a component are before any panel, 1σ as a share. */
function doubtOf({
  absorption,
  scattering,
  absorptionSigma,
  scatteringSigma,
  scaleSigma = 0,
}: Component): number {
  if (!absorptionSigma && !scatteringSigma && scaleSigma === 0) return unstatedDoubt;
  const shares: number[] = [];
  const collect = (values: Float64Array, sigma: Float64Array | undefined) =>
    sigma?.forEach((one, i) => {
      if (values[i] > 1e-5) shares.push(one / values[i]);
    });
  collect(absorption, absorptionSigma);
  collect(scattering, scatteringSigma);
  shares.sort((a, b) => a - b);
  return Math.min(Math.max(Math.hypot(shares[shares.length >> 1] ?? 0, scaleSigma), leastDoubt), 1);
}

/**
 * Brings panels and shelf together. Ingredients are found on the shelf by id, else by name; one that is not there is found
 * from the panels alone.
 *
 * @throws SpectrumFileError that names the panel for readings that cannot be used together
 */
export function shelfOfPanels({ panels, components, surface, weights, job }: PanelsOnShelf): ShelfOfPanels {
  const notes: string[] = [];
  const inMicrometres = panels.filter(({ panel }) => !isLaid(panel));
  const laid = panels.length - inMicrometres.length;
  const used = inMicrometres.length > 0 ? inMicrometres : panels;
  if (laid > 0 && inMicrometres.length > 0) {
    notes.push(`${laid} panels with laid amounts instead of thicknesses in µm are passed over`);
  }
  for (const { reading, label } of used.map(({ panel }) => panel)) {
    if (reading.kind === "lab" && !illuminantNames.includes(reading.illuminant)) {
      notes.push(`${label}: the light "${reading.illuminant}" is not known; taken as ${weights.illuminant}`);
    }
  }
  const byId = new Map(components.map((component) => [component.id, component]));
  const byName = new Map(components.map((component) => [component.name.toLowerCase(), component]));
  const found = (part: { readonly name: string; readonly component?: string }) =>
    (part.component !== undefined ? byId.get(part.component) : undefined) ??
    byName.get(part.name.toLowerCase());
  const { file, panels: of } = rowsOfPanels(
    used.map(({ panel }) => panel),
    "the ledger",
    { nameOf: (part) => found(part)?.name ?? part.name },
  );
  const asked = (job?.layers ?? []).flatMap(({ parts }) => parts.map(({ component }) => byId.get(component)));
  const told = shelfFromRows([withNames(file, asked)], {
    known: components,
    surface,
    grid: workingGrid,
    relativeSigma: doubtOf,
    weightsOf: (light) => {
      const { illuminant = weights.illuminant, observer = weights.observer as ObserverName } =
        rowLight(light);
      return weightsFor(observer, illuminantNames.includes(illuminant) ? illuminant : weights.illuminant);
    },
  });
  const idOf = new Map(used.map(({ id, panel }) => [panel, id]));
  return {
    told,
    panels: told.places.map(({ row }) => {
      const panel = of[row.row - firstRow];
      return panel && { id: idOf.get(panel) as string, panel };
    }),
    components: told.shelf.components.map(({ name }) => byName.get(name.toLowerCase())),
    notes: [...notes, ...told.notes],
  };
}

/** Stacks that are asked about, as further readings at the end of a shelf. Their doses and thicknesses are as told. */
export function withStacks(
  { shelf, bottles }: ShelfOfRows,
  components: readonly (Component | undefined)[],
  stacks: readonly PlannedStack[],
  spread: Pick<ShelfFilm, "thicknessSigma" | "doseSigma">,
): Shelf {
  const place = new Map(components.flatMap((one, k) => (one ? [[one.id, k] as const] : [])));
  // Whoever pours now pours from the bottle that was opened last.
  const lastBottle = (component: number) => bottles.findLastIndex((bottle) => bottle.component === component);
  const films = [...shelf.films];
  const grounds = [...shelf.grounds];
  const readings = [...shelf.readings];
  stacks.forEach(({ ground, layers }, k) => {
    const own = layers.map(({ parts }, layer) => {
      films.push({
        label: `asked ${k + 1}, layer ${layer + 1}`,
        parts: parts.flatMap(({ component, amount }) => {
          const at = place.get(component);
          if (at === undefined || amount <= 0) return [];
          const bottle = lastBottle(at);
          return [{ component: at, amount, ...(bottle >= 0 ? { bottle } : {}) }];
        }),
        ...spread,
      });
      return films.length - 1;
    });
    readings.push({ films: own, ground: grounds.push(ground) - 1, specular: "included" });
  });
  return { ...shelf, films, grounds, readings };
}

/** Rows of panels are numbered from here, below a heading. */
const firstRow = 2;

function isLaid({ thickness, below = [] }: Panel): boolean {
  return [{ thickness }, ...below].some(
    (film) => typeof film.thickness === "object" && film.thickness.basis === "amount",
  );
}

/** The file with columns for further components. */
function withNames(file: ShelfFile, further: readonly (Component | undefined)[]): ShelfFile {
  const names = new Set(file.components.map((name) => name.toLowerCase()));
  const more: string[] = [];
  for (const component of further) {
    if (!component || names.has(component.name.toLowerCase())) continue;
    names.add(component.name.toLowerCase());
    more.push(component.name);
  }
  if (more.length === 0) return file;
  const zeros = more.map(() => 0);
  return {
    ...file,
    components: [...file.components, ...more],
    rows: file.rows.map((row) => ({ ...row, amounts: [...row.amounts, ...zeros] })),
  };
}
