import type { Component } from "../coating/component.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import type { DrawdownCurve, DrawdownFilm } from "../tables/drawdownFilms.ts";
import { companionOf, compose, dryThicknessOf, type PasteLabel } from "./compose.ts";
import type { CalibrationProblem, Drawdown, Ground, Reading, Thickness } from "./problem.ts";

/** A mean of repeats, on the working grid. */
type MeasuredCurve = Omit<DrawdownCurve, "singles" | "rows">;

/** Drawdowns as they come from a file or a table on screen. */
export interface MeasuredDrawdowns {
  /** ids or names of the known components, in the order of the amounts after the paste */
  readonly components: readonly string[];
  readonly films: readonly DrawdownFilm<MeasuredCurve>[];
  readonly bare: readonly MeasuredCurve[];
}

/** Assumptions about the measuring. */
interface MeasuringAssumptions {
  readonly surface: SurfaceConstants;
  /** 1σ of a single reading, in reflectance */
  readonly noise: number;
}

/** Common practice for a hand-held sphere instrument on a drawdown: about 0.2 % of full scale. */
export const usualReadingNoise = 0.002;

/** Even many repeats share the instrument's calibration: their mean is trusted to this share of the noise at best. */
const sharedNoise = 0.3;

/** 1σ of ln X for laid amounts of a ladder (common practice). */
const amountError = 0.05;

/** A component of a set by its id or name, capitals aside. */
export function findComponent(known: readonly Component[], name: string): Component | undefined {
  const wanted = name.trim().toLowerCase();
  return (
    known.find(({ id }) => id.toLowerCase() === wanted) ??
    known.find(
      (component) =>
        component.name.toLowerCase() === wanted || component.colourIndex?.toLowerCase() === wanted,
    )
  );
}

/**
 * The calibration problem of measured drawdowns.
 *
 * @param known components that the drawdowns may hold beside the paste
 * @throws RangeError in plain words: an unknown component, a bare ground that was not measured, a composition that
 * cannot be, µm and laid amounts in one table
 */
export function problemFromTable(
  table: MeasuredDrawdowns,
  paste: PasteLabel,
  known: readonly Component[],
  { surface, noise }: MeasuringAssumptions,
): CalibrationProblem {
  const components = table.components.map((name) => {
    const found = findComponent(known, name);
    if (found === undefined) {
      const names = known.map(({ id }) => id).join(", ");
      throw new RangeError(`component "${name}" is not known; known are: ${names || "none"}`);
    }
    return found;
  });
  const sigmaOf = ({ spread, repeats }: MeasuredCurve): Float64Array =>
    spread.map((one) => Math.max(Math.max(noise, one) / Math.sqrt(repeats), sharedNoise * noise));
  const key = (ground: string): string => ground.trim().toLowerCase();
  const grounds: Ground[] = table.bare.map((curve) => ({
    name: curve.ground,
    reflectance: curve.reflectance,
    mode: curve.specular,
    sigma: sigmaOf(curve),
  }));
  const units = new Set<"µm" | "amount">();
  const drawdowns = table.films.map((film): Drawdown => {
    const composition = inWords(film.label, () => compose(paste, components, film.amounts, film.basis));
    const thickness = inWords(film.label, (): Thickness => {
      const told = film.thickness;
      if (told.kind !== "stated") return { kind: told.kind };
      units.add(told.basis === "amount" ? "amount" : "µm");
      const error = told.errorPercent === undefined ? undefined : told.errorPercent / 100;
      if (told.basis === "amount")
        return { kind: "known", value: told.value, relativeSigma: error ?? amountError };
      return dryThicknessOf(told.value, told.basis, composition, error);
    });
    const readings = film.readings.map((curve): Reading => {
      let ground = grounds.findIndex(({ name }) => key(name) === key(curve.ground));
      if (ground < 0 && thickness.kind === "opaque") {
        // What lies under an opaque film does not show; any stand-in will do.
        ground = grounds.length;
        const stand = new Float64Array(curve.reflectance.length);
        grounds.push({
          name: curve.ground,
          reflectance: stand.fill(0.5),
          mode: "internal",
          sigma: new Float64Array(stand.length),
        });
      }
      if (ground < 0) {
        throw new RangeError(
          `${film.label}: the bare ground "${curve.ground}" was not measured: add a reading of the uncoated card over ` +
            `${curve.ground}, labelled bare`,
        );
      }
      return { ground, specular: curve.specular, reflectance: curve.reflectance, sigma: sigmaOf(curve) };
    });
    return { label: film.label, fractions: composition.fractions, thickness, readings };
  });
  if (units.size > 1) {
    throw new RangeError("some thicknesses are in µm and some are laid amounts: use one unit for all films");
  }
  return {
    companions: components.map(companionOf),
    grounds,
    drawdowns,
    surface,
    thicknessUnit: units.has("amount") ? "amount" : "µm",
  };
}

function inWords<T>(label: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof RangeError) throw new RangeError(`${label}: ${error.message}`);
    throw error;
  }
}
