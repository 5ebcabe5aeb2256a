import { usualDropsPerMl } from "../coating/drops.ts";
import { aboveZero, atLeastZero, each, sameLength } from "../colour/checks.ts";
import { gramPerOunce, millilitrePerUsFluidOunce } from "../units/units.ts";

// Scaling a recipe to a batch and rounding it to what a balance, a syringe or a dropper can give.

export const pouringUnits = ["grams", "millilitres", "drops", "ounces", "fluid ounces"] as const;
export type PouringUnit = (typeof pouringUnits)[number];

export interface Pouring {
  unit: PouringUnit;
  /** smallest step of the balance or the syringe, in the unit; not used for drops */
  step: number;
  /** drops to the mL; for "drops" */
  dropsPerMl?: number;
}

/** What is needed of a component to pourOut it. */
interface Pourable {
  name: string;
  /** g/mL */
  density: number;
  /** counted out in drops when the unit is drops; others are measured by volume then */
  role?: string;
}

interface PouredAmount {
  /** mL and g that are really poured */
  volume: number;
  mass: number;
  /** mL and g in the pot after this one */
  cumulativeVolume: number;
  cumulativeMass: number;
  /** in the unit of `unit`: what the balance or the syringe shows, and its running sum */
  amount: number;
  cumulativeAmount: number;
  unit: PouringUnit;
  /** relative change of the component's share in the whole by rounding; −1 when it has vanished */
  off: number;
}

export interface PouredBatch {
  amounts: PouredAmount[];
  /** mL, g */
  volume: number;
  mass: number;
  notes: string[];
}

/**
 * A recipe scaled to a volume: every ratio is kept.
 *
 * @param volumes of the recipe in any one unit   @param total wanted, mL
 * @throws RangeError for a negative amount, none at all, or a negative total
 */
export function scaleVolumes(volumes: ArrayLike<number>, total: number): Float64Array {
  each("volume", volumes, atLeastZero, "mL");
  atLeastZero("total", total, "mL");
  let sum = 0;
  for (let j = 0; j < volumes.length; j++) sum += volumes[j];
  if (sum === 0) throw new RangeError("the recipe is empty: at least one amount must be above 0");
  return Float64Array.from({ length: volumes.length }, (_, j) => (volumes[j] / sum) * total);
}

/**
 * A recipe scaled to at least a volume and rounded to what can be dispensed. Each amount goes to the nearest step, which
 * keeps the colour; then the largest one is topped up by whole steps until there is no less than needed.
 *
 * @param needed mL
 * @throws RangeError for a value out of range; TypeError when lengths differ
 */
export function pourOut(
  components: readonly Pourable[],
  volumes: ArrayLike<number>,
  needed: number,
  dispensing: Pouring,
): PouredBatch {
  sameLength("components", components, "volumes", volumes);
  aboveZero("step", dispensing.step);
  const wanted = scaleVolumes(volumes, needed);
  const steps = components.map((component) => stepOf(component, dispensing));
  const counts = Array.from(wanted, (volume, j) => Math.round(volume / steps[j].volume));
  const poured = () => counts.reduce((sum, count, j) => sum + count * steps[j].volume, 0);
  const most = wanted.indexOf(Math.max(...wanted));
  const missing = needed - poured();
  if (missing > 1e-9 * needed) counts[most] += Math.ceil(missing / steps[most].volume - 1e-9);
  const total = poured();
  const notes: string[] = [];
  let volume = 0;
  let mass = 0;
  const sums = new Map<PouringUnit, number>();
  const amounts = components.map((component, j): PouredAmount => {
    const step = steps[j];
    const own = counts[j] * step.volume;
    const amount = counts[j] * step.amount;
    volume += own;
    mass += own * component.density;
    const cumulativeAmount = (sums.get(step.unit) ?? 0) + amount;
    sums.set(step.unit, cumulativeAmount);
    const off = wanted[j] > 0 && total > 0 ? own / total / (wanted[j] / needed) - 1 : 0;
    if (wanted[j] > 0 && Math.abs(off) > 0.05) {
      notes.push(
        counts[j] === 0
          ? `${component.name}: less than half a step, so that none of it would be poured; make a larger batch or take a finer step`
          : `${component.name}: rounding changes its share by ${(100 * off).toFixed(0)} %; make a larger batch or take a finer step`,
      );
    }
    if (step.unit === "drops" && counts[j] > 300)
      notes.push(`${component.name}: ${counts[j]} drops; weighing is surer and faster`);
    return {
      volume: own,
      mass: own * component.density,
      cumulativeVolume: volume,
      cumulativeMass: mass,
      amount,
      cumulativeAmount,
      unit: step.unit,
      off,
    };
  });
  return { amounts, volume, mass, notes };
}

interface Step {
  unit: PouringUnit;
  /** in the unit */
  amount: number;
  /** mL */
  volume: number;
}

function stepOf({ name, density, role }: Pourable, { unit, step, dropsPerMl }: Pouring): Step {
  aboveZero(`density of ${name}`, density, "g/mL");
  switch (unit) {
    case "grams":
      return { unit, amount: step, volume: step / density };
    case "ounces":
      return { unit, amount: step, volume: (step * gramPerOunce) / density };
    case "millilitres":
      return { unit, amount: step, volume: step };
    case "fluid ounces":
      return { unit, amount: step, volume: step * millilitrePerUsFluidOunce };
    case "drops": {
      const perMl = dropsPerMl ?? usualDropsPerMl;
      aboveZero("drops per mL", perMl);
      // Nobody counts a binder or a base paint out in drops.
      if (role !== undefined && role !== "paste") return { unit: "millilitres", amount: 0.5, volume: 0.5 };
      return { unit, amount: 1, volume: 1 / perMl };
    }
  }
}

const shortUnits: Record<PouringUnit, string> = {
  grams: "g",
  millilitres: "mL",
  drops: "drops",
  ounces: "oz",
  "fluid ounces": "fl oz",
};

/** Short name of a unit, for tables. */
export function unitText(unit: PouringUnit): string {
  return shortUnits[unit];
}

/** Decimals needed to write multiples of a step. */
function stepDigits(unit: PouringUnit, step: number): number {
  if (unit === "drops") return 0;
  for (let digits = 0; digits < 4; digits++) {
    if (Math.abs(step * 10 ** digits - Math.round(step * 10 ** digits)) < 1e-9) return digits;
  }
  return 4;
}

/** An amount as it stands on the sheet. */
export function amountText(amount: number, unit: PouringUnit, step: number): string {
  return amount.toFixed(
    unit === "millilitres" ? Math.max(1, stepDigits(unit, step)) : stepDigits(unit, step),
  );
}
