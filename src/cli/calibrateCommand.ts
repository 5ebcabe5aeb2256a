import * as v from "valibot";
import { bandsFromSigma } from "../calibration/bands.ts";
import { bandsFromReplicates, bootstrapChunk } from "../calibration/bootstrap.ts";
import { calibrate } from "../calibration/calibrate.ts";
import { calibratedComponent } from "../calibration/calibratedComponent.ts";
import { problemFromTable, usualReadingNoise } from "../calibration/fromTable.ts";
import {
  type CalibrationOptions,
  type CalibrationResult,
  usualCalibrationOptions,
} from "../calibration/result.ts";
import type { Component } from "../coating/component.ts";
import { wavelengths as wavelengthsOf, workingGrid } from "../colour/grid.ts";
import type { ObserverName } from "../colour/observer.ts";
import { checkSurface, usualSurface } from "../optics/interface.ts";
import { componentFrom, componentSchema, componentToSave } from "../ports/pigmentSet.ts";
import { type DrawdownSettings, readDrawdownFile } from "../tables/drawdownFile.ts";
import { componentSets } from "../tables/lanternRoom.ts";
import { weightsFor } from "../tables/weights.ts";
import { numberOption, readOptions } from "./options.ts";
import { readAnswers, readingHelp, readingOptions } from "./readingOptions.ts";
import {
  type Command,
  exitCode,
  InputError,
  printJson,
  readText,
  type Surroundings,
} from "./surroundings.ts";

const help = `K and S of a new pigment paste from drawdowns, with their uncertainty.

  npm run -s bole -- calibrate DRAWDOWNS.csv [options]

  DRAWDOWNS.csv          one row for each reading: label, ground, specular, basis, amount of paste, amount of NAME,
                         dry_um (or wet_um, gap_um, amount), error_percent, then one column for each wavelength in nm.
                         The label "bare" is the uncoated card. See data/examples/drawdowns-rose.csv.
  --components FILE      known components as JSON, a list as kept in notebooks; without it those of the demo
  --name TEXT            name of the paste (also as "# paste: TEXT" in the file)
  --density NUMBER       g/mL of the paste (also as "# paste density: NUMBER")
  --solids NUMBER        volume solids of the paste, 0 to 1 (also as "# paste volume solids: NUMBER")
  --k1 NUMBER            share of outside light that the surface reflects (${usualSurface.externalReflection})
  --k2 NUMBER            share of inside light that the surface sends back in (${usualSurface.internalReflection})
  --estimate-k2 NUMBER   estimate k2 as well, expected within this much (1σ) of --k2
  --noise NUMBER         1σ of a single reading, in reflectance (${usualReadingNoise})
  --smooth WHAT          none (default), cross-validated, or a weight: hold K and S smooth along the spectrum
  --keep-outliers        use drawdowns that contradict all others
  --level NUMBER         level of the bands, 0.5 to 0.99 (0.9)
  --bootstrap NUMBER     make the bands from this many refits, 20 to 5000; without it from the covariance
  --seed NUMBER          seed of the refits (1)
  --observer NAME        1931-2 or 1964-10 (default), for colour differences
  --illuminant NAME      for colour differences (D65)
${readingHelp}

Prints JSON: status, verdict in words, component (for a notebook), K, S, bands, thicknesses, each drawdown with its
residual and its prediction from the others. Exit code 0; 1 when the data do not suffice (the verdict tells why);
2 when a file or an option cannot be used.`;

/** bole calibrate: K and S of a new paste from drawdowns. */
export const calibrateCommand: Command = {
  name: "calibrate",
  summary: "K and S of a new paste from drawdowns, with error bars",
  help,
  async run(argv, surroundings) {
    const { values, positionals } = readOptions(argv, {
      components: { type: "string" },
      name: { type: "string" },
      density: { type: "string" },
      solids: { type: "string" },
      k1: { type: "string" },
      k2: { type: "string" },
      "estimate-k2": { type: "string" },
      noise: { type: "string" },
      smooth: { type: "string" },
      "keep-outliers": { type: "boolean" },
      level: { type: "string" },
      bootstrap: { type: "string" },
      seed: { type: "string" },
      observer: { type: "string" },
      illuminant: { type: "string" },
      ...readingOptions,
    });
    if (positionals.length !== 1) {
      throw new InputError(`Give one file of drawdowns; ${positionals.length} were given.`);
    }
    const number = (name: keyof typeof values, least: number, most: number): number | undefined => {
      const text = values[name];
      return typeof text === "string" ? numberOption(`--${name}`, text, least, most) : undefined;
    };
    const level = number("level", 0.5, 0.99) ?? 0.9;
    const replicates = number("bootstrap", 20, 5000);
    const seed = number("seed", 0, 2 ** 32 - 1) ?? 1;
    const surface = {
      externalReflection: number("k1", 0, 0.99) ?? usualSurface.externalReflection,
      internalReflection: number("k2", 0, 0.95) ?? usualSurface.internalReflection,
    };
    checkSurface(surface.externalReflection, surface.internalReflection);
    const options: CalibrationOptions = {
      ...usualCalibrationOptions,
      k2Sigma: number("estimate-k2", 0.001, 0.5),
      smoothness: smoothnessOf(values.smooth),
      outliers: values["keep-outliers"] ? "keep" : "set aside",
    };
    const observer = values.observer ?? "1964-10";
    if (observer !== "1931-2" && observer !== "1964-10") {
      throw new InputError(`--observer is "${observer}", but has to be 1931-2 or 1964-10.`);
    }
    const weights = weightsFor(observer satisfies ObserverName, values.illuminant ?? "D65");

    const path = positionals[0];
    const file = readDrawdownFile(await readText(surroundings, path), path, readAnswers(values));
    const known =
      values.components === undefined
        ? demoComponents()
        : await readComponents(surroundings, values.components);
    const settings: DrawdownSettings = {
      paste: values.name ?? file.settings.paste ?? "New paste",
      density: number("density", 0.5, 6) ?? file.settings.density,
      volumeSolids: number("solids", 0.01, 1) ?? file.settings.volumeSolids,
      colourIndex: file.settings.colourIndex,
    };
    const label = {
      name: settings.paste as string,
      density: settings.density,
      volumeSolids: settings.volumeSolids,
    };
    const problem = problemFromTable(file, label, known, {
      surface,
      noise: number("noise", 1e-5, 0.1) ?? usualReadingNoise,
    });
    const nm = wavelengthsOf(workingGrid);
    const result = calibrate(problem, options, nm, weights);
    const curves = curvesOf(result, level, replicates, seed);
    printJson(surroundings, { paste: settings, ...reportOf(result, settings, curves), notes: file.notes });
    return result.status === "refused" ? exitCode.failed : exitCode.ok;
  },
};

function reportOf(
  result: CalibrationResult,
  settings: DrawdownSettings,
  curves: ReturnType<typeof curvesOf>,
): Record<string, unknown> {
  return {
    status: result.status,
    verdict: result.findings,
    ...componentOf(result, settings),
    wavelengths: wavelengthsOf(workingGrid),
    ...curves,
    noise: { ratioToStated: result.noiseScale },
    k2: result.k2,
    smoothness: result.smoothness,
    settled: { unknowns: result.unknowns, rank: result.rank, condition: result.condition },
    drawdowns: result.drawdowns.map(({ readings, ...drawdown }) => ({
      ...drawdown,
      // JSON has no infinity: a film that hides has no thickness to tell.
      thickness: Number.isFinite(drawdown.thickness) ? drawdown.thickness : "opaque",
      readings: readings.map(({ ground, specular, measured, fitted, deltaE }) => ({
        ground,
        specular,
        residual: fitted.map((value, i) => value - measured[i]),
        deltaE,
      })),
    })),
    outliers: result.outliers,
  };
}

function smoothnessOf(text: string | undefined): CalibrationOptions["smoothness"] {
  if (text === undefined || text === "none") return "none";
  if (text === "cross-validated") return text;
  const weight = Number(text);
  if (!(weight > 0 && weight <= 1e6)) {
    throw new InputError(
      `--smooth is "${text}", but has to be none, cross-validated, or a weight above 0 up to 1000000.`,
    );
  }
  return weight;
}

function demoComponents(): Component[] {
  return Object.values(componentSets).flatMap((set) => set());
}

export async function readComponents(surroundings: Surroundings, path: string): Promise<Component[]> {
  let parsed: unknown;
  try {
    parsed = JSON.parse(await readText(surroundings, path));
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new InputError(`${path}: this is not JSON (${(error as Error).message}).`);
  }
  const checked = v.safeParse(v.array(componentSchema), parsed);
  if (!checked.success) {
    const [issue] = checked.issues;
    throw new InputError(`${path}: ${v.getDotPath(issue) ?? "the list"}: ${issue.message}.`);
  }
  return checked.output.map(componentFrom);
}

function componentOf(
  result: CalibrationResult,
  { paste, density, volumeSolids, colourIndex }: DrawdownSettings,
) {
  const missing = [
    density === undefined ? "density" : "",
    volumeSolids === undefined ? "volume solids" : "",
  ].filter(Boolean);
  if (missing.length > 0) return { noComponent: `${missing.join(" and ")} of the paste are not told` };
  const name = paste as string;
  const id = name
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 64);
  try {
    const component = calibratedComponent(result, {
      ...{ id: id || "new-paste", name, role: "paste", colourIndex },
      ...{ density: density as number, volumeSolids: volumeSolids as number },
    });
    return { component: componentToSave(component) };
  } catch (error) {
    if (error instanceof RangeError) return { noComponent: error.message };
    throw error;
  }
}

function curvesOf(
  { curves, fit, thicknessUnit, status }: CalibrationResult,
  level: number,
  replicates: number | undefined,
  seed: number,
) {
  if (curves === undefined) return {};
  const refits = replicates !== undefined && fit !== undefined && status !== "refused";
  const bands = refits
    ? bandsFromReplicates([bootstrapChunk({ fit, seed, first: 0, count: replicates })], level)
    : bandsFromSigma(curves, level);
  return {
    unit: thicknessUnit === "µm" ? "1/µm of dry film" : "1/unit of laid amount",
    absorption: curves.absorption,
    scattering: curves.scattering,
    absorptionSigma: curves.absorptionSigma,
    scatteringSigma: curves.scatteringSigma,
    settledAt: curves.status,
    bands: { ...bands, from: refits ? `${replicates} refits` : "covariance" },
  };
}
