import type { Component } from "../coating/component.ts";
import { wavelengths as wavelengthsOf, workingGrid } from "../colour/grid.ts";
import type { ObserverName } from "../colour/observer.ts";
import { keptNumbers, type Panel, type PanelFilm } from "../ledger/panel.ts";
import { coatsOn, wetsOnOf } from "../ports/coatPlan.ts";
import type { Coverage } from "../ports/coverage.ts";
import type { JobRecord, MeasuredPart } from "./jobRecord.ts";

const nm = [...wavelengthsOf(workingGrid)];

/** 1σ of a colour read by a hand-held sensor on a finished part (common practice). */
const usualSigma = 0.5;
/** What sprayed coats are off in thickness, per cent (common practice). */
const sprayError = 15;

/** A reading of what was in the pot, on a part or so thick that it hides. */
interface ReadPanel {
  readonly coverage: Coverage;
  /** Number among the parts from 0; undefined for a panel so thick that it hides everything. */
  readonly part: number | undefined;
  /** mL in the pot. */
  readonly components: readonly Component[];
  readonly volumes: ArrayLike<number>;
  /** Coats of colour and of basecoat that were laid; as planned when left out. */
  readonly colourCoats?: number;
  readonly basecoatCoats?: number;
  /** Wet amounts of the basecoat, mL; as planned when left out. */
  readonly basecoat?: { readonly components: readonly Component[]; readonly volumes: ArrayLike<number> };
  readonly reading: Panel["reading"];
  readonly label: string;
  readonly date: string;
  readonly origin: string;
}

/** The panel of a job in the form of the ledger; undefined where nothing was poured or laid. */
export function jobPanel(read: ReadPanel): Panel | undefined {
  const { coverage, part, components, volumes, reading, label, date, origin } = read;
  const parts = partsOf(components, volumes);
  const substrate = part === undefined ? undefined : coverage.parts[part]?.substrate;
  const plan = coverage.colourCoats;
  const coats = read.colourCoats ?? coatsOn(plan, substrate ?? {}).length;
  if (parts.length === 0 || (part !== undefined && coats === 0)) return undefined;
  const common = { label, basis: "volume" as const, parts, reading, habit: "", date, origin, setAside: "" };
  if (!substrate) return { ...common, thickness: "opaque", coats: 1, ground: { name: "hidden" } };
  const laid = wetsOnOf(plan, substrate, coats);
  const below = basecoatOf(read);
  return {
    ...common,
    thickness: film(laid.reduce((sum, one) => sum + one, 0) / coats),
    coats,
    ground: {
      name: substrate.name,
      reading: { specular: "included", wavelengths: nm, values: keptNumbers(substrate.measured) },
    },
    ...(below ? { below: [below] } : {}),
  };
}

function basecoatOf({
  coverage: { basecoat },
  basecoatCoats,
  basecoat: poured,
}: ReadPanel): PanelFilm | undefined {
  const coats = basecoatCoats ?? basecoat?.coats ?? 0;
  if (!basecoat || coats === 0) return undefined;
  const { components, volumes } = poured ?? {
    components: basecoat.paints,
    volumes: basecoat.shares.map((share) => 100 * share),
  };
  const parts = partsOf(components, volumes);
  if (parts.length === 0) return undefined;
  return { basis: "volume", parts, thickness: film(basecoat.wetThickness), coats };
}

const film = (wet: number) => ({
  basis: "wet" as const,
  value: Number(wet.toFixed(2)),
  errorPercent: sprayError,
});

function partsOf(components: readonly Component[], volumes: ArrayLike<number>): PanelFilm["parts"] {
  return components.flatMap(({ id, name }, k) => {
    const amount = Number(volumes[k].toFixed(4));
    return amount > 0 ? [{ name, component: id, amount }] : [];
  });
}

/** A typed colour as a reading, in the light and for the observer that it is stated for. */
export function colourRead(
  { L, a, b }: { readonly L: number; readonly a: number; readonly b: number },
  specular: "included" | "excluded",
  { observer, illuminant }: { readonly observer: string; readonly illuminant: string },
): Panel["reading"] {
  return {
    kind: "lab",
    specular,
    Lab: [L, a, b],
    illuminant,
    observer: observer as ObserverName,
    sigma: usualSigma,
  };
}

/** The measured parts of a job in the form of the ledger, with what was really weighed and laid. */
export function recordPanels(
  { batch, amounts, coats }: JobRecord,
  measured: readonly MeasuredPart[],
  { specular, date, origin }: { specular: "included" | "excluded"; date: string; origin: string },
): Panel[] {
  const { coverage } = batch;
  const poured = (layer: "basecoat" | "colour") => {
    const own = amounts.filter((amount) => amount.layer === layer);
    return {
      components: own.map(({ component }) => component),
      volumes: own.map(({ component, planned, weighed }) => (weighed ?? planned) / component.density),
    };
  };
  const laid = (kind: string) => coats.find(({ layer }) => layer.kind === kind)?.laid;
  const coatsLaid = laid("colour");
  return coverage.parts.flatMap(({ substrate }, part): Panel[] => {
    const reading = measured.find((one) => one.part === substrate.name);
    if (!reading) return [];
    const panel = jobPanel({
      coverage,
      part,
      ...poured("colour"),
      colourCoats: coatsLaid === undefined ? undefined : coatsLaid + (substrate.moreCoats ?? 0),
      basecoatCoats: laid("basecoat"),
      basecoat: poured("basecoat"),
      reading: colourRead(reading, specular, coverage.viewing.weights),
      label: `${substrate.name}, as painted`.slice(0, 200),
      date,
      origin,
    });
    return panel ? [panel] : [];
  });
}
