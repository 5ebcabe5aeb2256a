import { companionOf } from "../../src/calibration/compose.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import type { PlannedDrawdown, Simulation } from "./simulateDrawdowns.ts";

// What a person at the bench would draw down, for simulated calibrations.

export const points = 36;
export const surface = { externalReflection: 0.04, internalReflection: 0.6 };
export const white = lanternRoom.pastes.find(({ id }) => id === "pw6")!;
export const binder = lanternRoom.binder;
export const card = [
  { name: "black", reflectance: new Float64Array(points).fill(0.045) },
  { name: "white", reflectance: new Float64Array(points).fill(0.82) },
];

/** Share of the paste in the dry film of the masstone: pastes are laid in binder. */
export const masstoneShare = 0.12;

type Told = PlannedDrawdown["told"];

/** A masstone and three let-downs with the known white, at each of some thicknesses (µm), over black and white. */
export function usualDrawdowns(told: Told, thicknesses: readonly number[] = [12, 30]): PlannedDrawdown[] {
  return thicknesses.flatMap((trueThickness) => [
    film(`masstone ${trueThickness}`, [masstoneShare, 0, 1 - masstoneShare], trueThickness, told),
    ...[0.03, 0.1, 0.3].map((share) =>
      film(`let-down ${share} ${trueThickness}`, [share * 0.2, (1 - share) * 0.2, 0.8], trueThickness, told),
    ),
  ]);
}

export function film(
  label: string,
  fractions: readonly number[],
  trueThickness: number,
  told: Told,
): PlannedDrawdown {
  return { label, fractions, trueThickness, told, specular: "included", grounds: [0, 1] };
}

/** A simulation with 0.2 % noise of reflectance, three readings of each bare ground and 5 % error of thickness. */
export function simulationOf(
  paste: { absorption: Float64Array; scattering: Float64Array },
  drawdowns: readonly PlannedDrawdown[],
  seed: number,
  changes: Partial<Simulation> = {},
): Simulation {
  return {
    absorption: paste.absorption,
    scattering: paste.scattering,
    companions: [companionOf(white), companionOf(binder)],
    grounds: card,
    drawdowns,
    surface,
    noise: 0.002,
    groundRepeats: 3,
    thicknessError: 0.05,
    seed,
    ...changes,
  };
}

/** Median of some numbers. */
export function medianOf(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1];
}
