import { mostCoefficient } from "../optics/coefficientBound.ts";
import { filmReflectanceInto } from "../optics/film.ts";
import { internalFromMeasured, toMeasuredInto } from "../optics/interface.ts";
import { type CsvTable, numberColumn, parseCsvTable } from "../tables/csvTable.ts";
import { numberOption, readOptions } from "./options.ts";
import { readAnswers, readingHelp, readingOptions } from "./readingOptions.ts";
import { alignCurves, type Curve, readGround } from "./spectra.ts";
import { readSurface, surfaceHelp, surfaceOptions } from "./surfaceOptions.ts";
import {
  type Command,
  exitCode,
  InputError,
  printJson,
  readText,
  type Surroundings,
} from "./surroundings.ts";

const help = `Reflectance of one or more films of paint over a ground (two-flux theory of Kubelka and Munk).

  npm run -s bole -- film --layer FILE:THICKNESS [--layer …] --ground GROUND [options]

  --layer FILE:THICKNESS   a film: its CSV file and its dry thickness in µm; repeat it, the top film first.
                           The file has the columns wavelength_nm, K and S; K (absorption) and S (scattering)
                           are per µm of dry film. Lines that start with # are comments.
  --ground GROUND          what lies under the films: a reflectance from 0 to 1, or a CSV file with one spectrum
  --measured-ground        the ground was measured bare, with its surface: take the surface off first
${readingHelp}
${surfaceHelp}
                       Without --k1 and --k2 every reflectance is the one inside the film, without a surface.

Prints JSON: wavelengths (nm), reflectance (inside, without surface), measured (as an instrument sees it; only with
--k1 and --k2), notes. Exit code 0, or 2 when a file or an option cannot be used.`;

interface Film {
  name: string;
  absorption: Curve;
  scattering: Curve;
  thickness: number;
}

/** bole film: reflectance of a stack of films. */
export const filmCommand: Command = {
  name: "film",
  summary: "reflectance of films of paint over a ground",
  help,
  async run(argv, surroundings) {
    const { values, positionals } = readOptions(argv, {
      layer: { type: "string", multiple: true },
      ground: { type: "string" },
      "measured-ground": { type: "boolean" },
      ...surfaceOptions,
      ...readingOptions,
    });
    if (positionals.length > 0)
      throw new InputError(`"${positionals[0]}" has no meaning here. Name films with --layer.`);
    if (!values.layer)
      throw new InputError("No film is given. Name at least one with --layer FILE:THICKNESS.");
    if (values.ground === undefined)
      throw new InputError("--ground is missing: a reflectance from 0 to 1, or a CSV file.");
    const surface = readSurface(values);
    if (values["measured-ground"] && !surface) throw new InputError("--measured-ground needs --k1 and --k2.");

    const notes: string[] = [];
    const films: Film[] = [];
    for (const layer of values.layer) films.push(await readFilm(surroundings, layer));
    const ground = await readGround(surroundings, "--ground", values.ground, notes, readAnswers(values));
    const curves = films.flatMap((film) => [film.absorption, film.scattering]);
    const wavelengths = alignCurves(typeof ground === "number" ? curves : [...curves, ground], notes);
    let under =
      typeof ground === "number" ? new Float64Array(wavelengths.length).fill(ground) : ground.values;
    if (values["measured-ground"] && surface) {
      const inside = internalFromMeasured(under, surface.k1, surface.k2, surface.specular, wavelengths);
      notes.push(...inside.notes.map((note) => `ground: ${note}`));
      under = inside.values;
    }
    refuseUnphysical(under, wavelengths);

    const reflectance = Float64Array.from(under);
    for (const film of [...films].reverse()) {
      filmReflectanceInto(
        film.absorption.values,
        film.scattering.values,
        film.thickness,
        reflectance,
        reflectance,
      );
    }
    let measured: Float64Array | undefined;
    if (surface) {
      measured = new Float64Array(reflectance.length);
      toMeasuredInto(reflectance, surface.k1, surface.k2, surface.specular, measured);
    }
    printJson(surroundings, {
      layers: films.map(({ name, thickness }) => ({ file: name, dryThickness: thickness })),
      surface,
      wavelengths,
      reflectance,
      measured,
      notes,
    });
    return exitCode.ok;
  },
};

async function readFilm(surroundings: Surroundings, layer: string): Promise<Film> {
  const cut = layer.lastIndexOf(":");
  if (cut < 1) {
    throw new InputError(
      `--layer is "${layer}", but has to be a file, a colon and a dry thickness in µm: paint.csv:30.`,
    );
  }
  const path = layer.slice(0, cut);
  const thickness = numberOption(`The thickness of --layer ${path}`, layer.slice(cut + 1), 0, 10_000, "µm");
  const table = parseCsvTable(await readText(surroundings, path), path);
  const wavelengths = numberColumn(table, "wavelength_nm");
  const outside = wavelengths.findIndex((nm) => !(nm >= 200 && nm <= 2600));
  if (outside >= 0) {
    throw new InputError(
      `${path}, row ${table.rows[outside].line}, field "wavelength_nm": ${wavelengths[outside]} nm is outside 200 to 2600 nm. Give wavelengths in nm.`,
    );
  }
  for (let i = 1; i < wavelengths.length; i++) {
    if (!(wavelengths[i] > wavelengths[i - 1])) {
      throw new InputError(
        `${path}, row ${table.rows[i].line}, field "wavelength_nm": ${wavelengths[i]} nm comes after ${wavelengths[i - 1]} nm. Sort the wavelengths, each once.`,
      );
    }
  }
  const curve = (field: "K" | "S"): Curve => ({
    name: `${path}, field "${field}"`,
    wavelengths,
    values: coefficients(table, field),
  });
  return { name: path, thickness, absorption: curve("K"), scattering: curve("S") };
}

function coefficients(table: CsvTable, field: "K" | "S"): Float64Array {
  for (const row of table.rows) {
    const most = mostCoefficient[field];
    if (row.number(field) > most) {
      throw new InputError(
        `${table.file}, row ${row.line}, field "${field}": ${row.number(field)} per µm is more than any paint has (${most}). Check the unit and the column.`,
      );
    }
    if (row.number(field) < 0) {
      throw new InputError(
        `${table.file}, row ${row.line}, field "${field}": ${row.number(field)} per µm is negative; it has to be 0 or more.`,
      );
    }
  }
  return numberColumn(table, field);
}

/** A ground from a reading may lie slightly outside what the theory knows. */
function refuseUnphysical(ground: Float64Array, wavelengths: Float64Array): void {
  const at = ground.findIndex((value) => !(value >= 0 && value <= 1));
  if (at < 0) return;
  throw new InputError(
    `The ground has the reflectance ${ground[at]} at ${wavelengths[at]} nm, but it has to be from 0 to 1. ` +
      "Check the reading, --k1 and --specular.",
  );
}
