import { aboveZero, atLeastZero, fraction } from "../colour/checks.ts";
import { quantityFor } from "./quantity.ts";

// How much to mix for one layer of a job, and where all of it goes. Volumes in mL.

/** What is lost on the way and kept back, beside the overspray. */
export interface Allowances {
  /** ready mix that stays in cup, hose and strainer, mL */
  cupAndHose: number;
  /** area of test panels that get the same coats, m² */
  panelArea: number;
  /** kept for touching up, as a share of everything else that is needed, ≥ 0 */
  reserve: number;
  /** the mix is rounded up to whole steps of this, mL; 0 leaves it as it is */
  roundTo: number;
}

export interface FilmNeed extends Allowances {
  /** true surface of all parts, grain included, m² */
  area: number;
  /** dry thickness of all coats of the layer, µm */
  dryThickness: number;
  /** what the parts get beyond that, µm dry on average over their surface; none when left out */
  moreThickness?: number;
  /** of the unthinned mix, above 0, up to 1 */
  volumeSolids: number;
  /** share of the coating solids that ends up on the part, above 0, up to 1 */
  transferEfficiency: number;
  /** volume of thinner per volume of mix, ≥ 0 */
  thinner: number;
}

/** Where the ready mix of a layer goes, mL. Everything but `dispensed` sums to `dispensed`. */
export interface LayerLedger {
  onParts: number;
  overspray: number;
  /** on the test panels, with their overspray */
  testPanels: number;
  cupAndHose: number;
  reserve: number;
  /** added by rounding up */
  rounding: number;
  /** ready to spray, thinner included */
  dispensed: number;
}

export interface LayerQuantity {
  ledger: LayerLedger;
  /** unthinned mix to make, mL */
  mixVolume: number;
  /** mL */
  thinnerVolume: number;
  /** dry film on the parts, mL */
  dryVolume: number;
}

/**
 * Quantity of a sprayed, brushed or wiped film.
 *
 * @throws RangeError for a value out of range
 * Source: definitions of volume solids (ISO 3233) and transfer efficiency; volumes taken as additive.
 */
export function filmQuantity(need: FilmNeed): LayerQuantity {
  const {
    area,
    dryThickness,
    moreThickness = 0,
    volumeSolids,
    transferEfficiency,
    thinner,
    panelArea,
  } = need;
  checkAllowances(need);
  const film = { dryThickness, volumeSolids, transferEfficiency, thinner };
  const parts = quantityFor({ ...film, area, dryThickness: dryThickness + moreThickness });
  const panels = quantityFor({ ...film, area: panelArea });
  const onParts = parts.readyVolume * transferEfficiency;
  return {
    ...dispensedFor(
      { onParts, overspray: parts.readyVolume - onParts, testPanels: panels.readyVolume },
      need,
      thinner,
    ),
    dryVolume: parts.dryVolume,
  };
}

interface WipeNeed extends Allowances {
  /** m² */
  area: number;
  /** mL/m² each time */
  volumePerArea: number;
  /** how many times the surface is wiped */
  passes: number;
}

/** Quantity of a liquid that is wiped on and leaves no film, such as a cleaner. @throws RangeError */
export function wipeQuantity(need: WipeNeed): LayerQuantity {
  checkAllowances(need);
  atLeastZero("area", need.area, "m²");
  atLeastZero("cleaner", need.volumePerArea, "mL/m²");
  atLeastZero("wipes", need.passes);
  const each = need.volumePerArea * need.passes;
  return {
    ...dispensedFor({ onParts: need.area * each, overspray: 0, testPanels: need.panelArea * each }, need, 0),
    dryVolume: 0,
  };
}

function dispensedFor(
  used: Pick<LayerLedger, "onParts" | "overspray" | "testPanels">,
  { cupAndHose, reserve: reserveShare, roundTo }: Allowances,
  thinner: number,
): Pick<LayerQuantity, "ledger" | "mixVolume" | "thinnerVolume"> {
  const sprayed = used.onParts + used.overspray + used.testPanels;
  // A layer that is not laid leaves nothing in the cup.
  const left = sprayed > 0 ? cupAndHose : 0;
  const reserve = (sprayed + left) * reserveShare;
  const needed = sprayed + left + reserve;
  const mixVolume = roundUp(needed / (1 + thinner), roundTo);
  const dispensed = mixVolume * (1 + thinner);
  return {
    ledger: { ...used, cupAndHose: left, reserve, rounding: Math.max(0, dispensed - needed), dispensed },
    mixVolume,
    thinnerVolume: mixVolume * thinner,
  };
}

/**
 * The next whole step at or above a value; a step of 0 leaves it as it is.
 * A billionth above a step counts as on it, or rounding error would cost a whole step.
 */
export function roundUp(value: number, step: number): number {
  if (step === 0) return value;
  return Math.ceil(value / step - 1e-9) * step;
}

function checkAllowances({ cupAndHose, panelArea, reserve, roundTo }: Allowances): void {
  atLeastZero("loss in cup and hose", cupAndHose, "mL");
  atLeastZero("area of test panels", panelArea, "m²");
  atLeastZero("reserve", reserve);
  atLeastZero("rounding step", roundTo, "mL");
}

/**
 * Surface of parts with grain: deep grain has more surface than its outline.
 *
 * @param area of one, m²   @param count   @param textureFactor true surface ÷ outline, ≥ 1 (1 is smooth)
 * @throws RangeError for a value out of range
 */
export function trueSurface(area: number, count: number, textureFactor: number): number {
  aboveZero("area", area, "m²");
  atLeastZero("count", count);
  if (!(textureFactor >= 1 && Number.isFinite(textureFactor)))
    throw new RangeError(`texture factor = ${textureFactor}: must be at least 1`);
  return area * count * textureFactor;
}

/** A way of laying a film. Shares are defaults to edit. */
interface ApplicationMethod {
  readonly id: string;
  readonly label: string;
  /** share of the coating solids that ends up on the part, 0…1 */
  readonly transferEfficiency: number;
  readonly source: string;
}

/** How the ways of laying a film differ in what reaches the part. */
export const applicationMethods = Object.freeze([
  {
    id: "hvlp",
    label: "HVLP gun",
    transferEfficiency: 0.65,
    source:
      "at least 65 % is what rules ask of a high volume, low pressure gun (South Coast AQMD); shops measure 50 to 60 %",
  },
  {
    id: "gun",
    label: "conventional cup gun",
    transferEfficiency: 0.3,
    source: "about 30 % in real shops (Products Finishing, “A Primer on Transfer Efficiency and Tip Sizes”)",
  },
  {
    id: "airbrush",
    label: "airbrush",
    transferEfficiency: 0.6,
    source: "common practice: near a good gun, less on small parts",
  },
  {
    id: "sponge",
    label: "sponge or pad",
    transferEfficiency: 0.9,
    source: "common practice: nothing is sprayed beside the part, some stays in the sponge",
  },
] as const satisfies readonly ApplicationMethod[]);

export type MethodId = (typeof applicationMethods)[number]["id"];

/** Refuses shares that cannot be. @throws RangeError */
export function checkTransfer(name: string, share: number): void {
  aboveZero(name, share);
  fraction(name, share);
}
