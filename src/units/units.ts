// Exact by definition: the international inch and the US liquid gallon (231 cubic inches).
export const micrometrePerMil = 25.4;
export const litrePerUsGallon = 3.785411784;
export const millilitrePerUsFluidOunce = (1000 * litrePerUsGallon) / 128;
const squareMetrePerSquareFoot = 0.09290304;
/** ft²/gal for 1 m²/L: 40.74583… */
const squareFootPerGallonOfSquareMetrePerLitre = litrePerUsGallon / squareMetrePerSquareFoot;

/** Units people read and type in; everything is computed in the project's own units. */
export type UnitSystem = "metric" | "us";

/** What is measured. The project's own unit of each stands in brackets. */
export type Quantity =
  | "area" // m²
  | "volume" // mL
  | "mass" // g
  | "thickness" // µm
  | "length" // m
  | "speed" // m/s
  | "volumePerArea" // mL/m²
  | "areaPerTime" // m²/min
  | "timePerArea" // min/m²
  | "spreadRate" // m²/L
  | "massPerVolume" // g/L
  | "moneyPerVolume"; // money/L

/** A unit as shown: its name, how much of the project's own unit it is, and the decimals that make sense. */
interface ShownUnit {
  readonly unit: string;
  readonly per: number;
  readonly digits: number;
}

// Exact by definition: the avoirdupois pound (1/16 of it is the ounce) and the international foot.
const gramPerPound = 453.59237;
export const gramPerOunce = gramPerPound / 16;
const metrePerInch = 0.0254;
const metrePerFoot = 0.3048;
export const millilitrePerUsQuart = (1000 * litrePerUsGallon) / 4;

const metric: Readonly<Record<Quantity, ShownUnit>> = {
  area: { unit: "m²", per: 1, digits: 2 },
  volume: { unit: "mL", per: 1, digits: 0 },
  mass: { unit: "g", per: 1, digits: 2 },
  thickness: { unit: "µm", per: 1, digits: 1 },
  length: { unit: "cm", per: 0.01, digits: 0 },
  speed: { unit: "m/s", per: 1, digits: 2 },
  volumePerArea: { unit: "mL/m²", per: 1, digits: 0 },
  areaPerTime: { unit: "m²/min", per: 1, digits: 2 },
  timePerArea: { unit: "min/m²", per: 1, digits: 1 },
  spreadRate: { unit: "m²/L", per: 1, digits: 1 },
  massPerVolume: { unit: "g/L", per: 1, digits: 0 },
  moneyPerVolume: { unit: "per L", per: 1, digits: 2 },
};

const us: Readonly<Record<Quantity, ShownUnit>> = {
  area: { unit: "ft²", per: squareMetrePerSquareFoot, digits: 1 },
  volume: { unit: "fl oz", per: millilitrePerUsFluidOunce, digits: 1 },
  mass: { unit: "oz", per: gramPerOunce, digits: 3 },
  thickness: { unit: "mil", per: micrometrePerMil, digits: 2 },
  length: { unit: "in", per: metrePerInch, digits: 1 },
  speed: { unit: "ft/s", per: metrePerFoot, digits: 2 },
  volumePerArea: { unit: "fl oz/ft²", per: millilitrePerUsFluidOunce / squareMetrePerSquareFoot, digits: 3 },
  areaPerTime: { unit: "ft²/min", per: squareMetrePerSquareFoot, digits: 1 },
  timePerArea: { unit: "min/ft²", per: 1 / squareMetrePerSquareFoot, digits: 2 },
  spreadRate: { unit: "ft²/gal", per: 1 / squareFootPerGallonOfSquareMetrePerLitre, digits: 0 },
  massPerVolume: { unit: "lb/gal", per: gramPerPound / litrePerUsGallon, digits: 2 },
  moneyPerVolume: { unit: "per gal", per: 1 / litrePerUsGallon, digits: 2 },
};

/** The unit a quantity is shown in. */
export function shownUnit(quantity: Quantity, system: UnitSystem): ShownUnit {
  return (system === "us" ? us : metric)[quantity];
}

const quantities: Readonly<Record<string, readonly [quantity: Quantity, own: number]>> = {
  "mL/m²": ["volumePerArea", 1],
  "m²/L": ["spreadRate", 1],
  "m²/min": ["areaPerTime", 1],
  "min/m²": ["timePerArea", 1],
  "m²": ["area", 1],
  "m/s": ["speed", 1],
  mL: ["volume", 1],
  L: ["volume", 1000],
  µm: ["thickness", 1],
  cm: ["length", 0.01],
};

/** What a metric unit measures, and how much of the project's own unit it is; undefined for any other unit. */
export function quantityOf(unit: string): { readonly quantity: Quantity; readonly own: number } | undefined {
  if (!Object.hasOwn(quantities, unit)) return undefined;
  const [quantity, own] = quantities[unit];
  return { quantity, own };
}

/** The unit a quantity is shown in where that is not the one it is kept in; undefined for no quantity too. */
export function otherUnit(quantity: Quantity | undefined, system: UnitSystem): ShownUnit | undefined {
  return quantity && system !== "metric" ? shownUnit(quantity, system) : undefined;
}

/** From the project's own unit to the shown one. */
export function toShown(value: number, quantity: Quantity, system: UnitSystem): number {
  return value / shownUnit(quantity, system).per;
}

/** From the shown unit to the project's own. */
export function fromShown(value: number, quantity: Quantity, system: UnitSystem): number {
  return value * shownUnit(quantity, system).per;
}

/** A measured value as text with its unit; large volumes and masses take the larger unit. */
export function measureText(value: number, quantity: Quantity, system: UnitSystem): string {
  const { unit, per, digits } = largeUnit(value, quantity, system) ?? shownUnit(quantity, system);
  return `${(value / per).toFixed(digits)} ${unit}`;
}

/** A volume as poured by hand, without its unit: always in the small unit, as fine as a drop. */
export function smallVolume(value: number, system: UnitSystem): string {
  return toShown(value, "volume", system).toFixed(system === "us" ? 3 : 2);
}

function largeUnit(value: number, quantity: Quantity, system: UnitSystem): ShownUnit | undefined {
  if (quantity === "volume") {
    if (system === "metric" && value >= 999.5) return { unit: "L", per: 1000, digits: 2 };
    if (system === "us" && value >= 4 * millilitrePerUsQuart)
      return { unit: "gal", per: 1000 * litrePerUsGallon, digits: 2 };
  }
  if (quantity === "mass") {
    if (system === "metric" && value >= 99.95) return { unit: "g", per: 1, digits: 1 };
    if (system === "us" && value >= gramPerPound) return { unit: "oz", per: gramPerOunce, digits: 2 };
  }
  return undefined;
}

/** Sizes of containers with commas between them, such as "250 mL, 1 L". @returns mL @throws RangeError for what is no volume */
export function readSizes(text: string): number[] {
  return text
    .split(/[,;]/)
    .filter((word) => word.trim() !== "")
    .map(readVolume);
}

/** Minutes as text: "45 min", "3 h 05 min". */
export function durationText(minutes: number): string {
  const whole = Math.round(minutes);
  if (whole < 60) return `${whole} min`;
  const rest = whole % 60;
  return `${Math.floor(whole / 60)} h${rest === 0 ? "" : ` ${String(rest).padStart(2, "0")} min`}`;
}

/** Durations as text whose whole minutes add up to those of their sum: what rounding leaves goes where it is least felt. */
export function durationsText(minutes: readonly number[]): string[] {
  const whole = minutes.map(Math.floor);
  const total = Math.round(minutes.reduce((sum, each) => sum + each, 0));
  const left = total - whole.reduce((sum, each) => sum + each, 0);
  const byRest = [...minutes.keys()].sort((p, q) => minutes[q] - whole[q] - (minutes[p] - whole[p]));
  for (const i of byRest.slice(0, left)) whole[i]++;
  return whole.map(durationText);
}

const volumeUnits: Readonly<Record<string, number>> = {
  "": 1,
  ml: 1,
  l: 1000,
  "fl oz": millilitrePerUsFluidOunce,
  qt: millilitrePerUsQuart,
  gal: 1000 * litrePerUsGallon,
};

/**
 * Reads a volume with its unit: "250", "250 mL", "1.5 L", "8 fl oz", "1 qt", "1 gal". A bare number is mL.
 *
 * @returns mL
 * @throws RangeError naming what is understood
 */
export function readVolume(text: string): number {
  const match = /^\s*(\d+(?:\.\d+)?|\.\d+)\s*([a-z. ]*?)\s*$/i.exec(text);
  const unit = match?.[2].toLowerCase().replaceAll(".", "").replace(/\s+/g, " ") ?? "?";
  const per = Object.hasOwn(volumeUnits, unit) ? volumeUnits[unit] : Number.NaN;
  const volume = match ? Number(match[1]) * per : Number.NaN;
  if (!(volume > 0 && Number.isFinite(volume)))
    throw new RangeError(`"${text.trim()}" is not a volume: write it as 250 mL, 1 L, 8 fl oz, 1 qt or 1 gal`);
  return volume;
}
