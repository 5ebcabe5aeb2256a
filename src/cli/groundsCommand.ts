import { internalFromMeasured } from "../optics/interface.ts";
import { invertTwoGrounds } from "../optics/inversion.ts";
import { numberOption, readOptions } from "./options.ts";
import { readAnswers, readingHelp, readingOptions } from "./readingOptions.ts";
import { alignCurves, readCurve, readGround } from "./spectra.ts";
import { readSurface, surfaceHelp, surfaceOptions } from "./surfaceOptions.ts";
import { type Command, exitCode, InputError, printJson } from "./surroundings.ts";

const usualNoise = 0.001;

const help = `Absorption and scattering of a film from its reflectance over a dark and over a light ground.

  npm run -s bole -- grounds OVERBLACK.csv OVERWHITE.csv --black GROUND --white GROUND [options]

  OVERBLACK.csv, OVERWHITE.csv   one spectrum each: the same film over the dark and over the light ground
  --black GROUND       the bare dark ground: a reflectance from 0 to 1, or a CSV file with one spectrum
  --white GROUND       the bare light ground
  --thickness NUMBER   dry thickness in µm, when it was measured: K and S per µm are printed too
  --noise NUMBER       smallest difference of reflectance that the instrument tells apart (default ${usualNoise})
${readingHelp}
${surfaceHelp}
                       With --k1 and --k2 the surface is taken off the readings and off the grounds. Without them
                       every reflectance is the one inside the film.

Prints JSON: absorptionPower (K times thickness), scatteringPower (S times thickness), status at each wavelength,
notes. A film that hides is "undetermined": both readings are alike and only lower bounds are given.
Exit code 0; 1 when no wavelength is determined; 2 when a file or an option cannot be used.`;

/** bole grounds: K and S from readings over two grounds. */
export const groundsCommand: Command = {
  name: "grounds",
  summary: "absorption and scattering of a film from readings over black and over white",
  help,
  async run(argv, surroundings) {
    const { values, positionals } = readOptions(argv, {
      black: { type: "string" },
      white: { type: "string" },
      thickness: { type: "string" },
      noise: { type: "string" },
      ...surfaceOptions,
      ...readingOptions,
    });
    if (positionals.length !== 2)
      throw new InputError("Give two CSV files: the film over black, then over white.");
    const groundText = (name: "black" | "white") => {
      const text = values[name];
      if (text === undefined)
        throw new InputError(`--${name} is missing: a reflectance from 0 to 1, or a CSV file.`);
      return text;
    };
    const grounds = { black: groundText("black"), white: groundText("white") };
    const noise = numberOption("--noise", values.noise ?? String(usualNoise), 1e-9, 0.1);
    const thickness =
      values.thickness === undefined
        ? undefined
        : numberOption("--thickness", values.thickness, 0.01, 10_000, "µm");
    const surface = readSurface(values);
    const answers = readAnswers(values);

    const notes: string[] = [];
    const overBlack = await readCurve(surroundings, positionals[0], notes, answers);
    const overWhite = await readCurve(surroundings, positionals[1], notes, answers);
    const black = await readGround(surroundings, "--black", grounds.black, notes, answers);
    const white = await readGround(surroundings, "--white", grounds.white, notes, answers);
    const curves = [overBlack, overWhite, ...[black, white].filter((ground) => typeof ground !== "number")];
    const wavelengths = alignCurves(curves, notes);
    const inside = (name: string, reading: number | { values: Float64Array }): Float64Array => {
      const R =
        typeof reading === "number" ? new Float64Array(wavelengths.length).fill(reading) : reading.values;
      if (!surface) return R;
      const internal = internalFromMeasured(R, surface.k1, surface.k2, surface.specular, wavelengths);
      notes.push(...internal.notes.map((note) => `${name}: ${note}`));
      return internal.values;
    };
    const result = invertTwoGrounds({
      overBlack: inside(positionals[0], overBlack),
      overWhite: inside(positionals[1], overWhite),
      black: inside("--black", black),
      white: inside("--white", white),
      noise,
    });
    const perMicrometre = (power: Float64Array) =>
      thickness === undefined ? undefined : power.map((p) => p / thickness);
    const determined = result.status.filter((status) => status === "determined").length;
    notes.push(`determined at ${determined} of ${wavelengths.length} wavelengths`);
    printJson(surroundings, {
      wavelengths,
      absorptionPower: result.absorptionPower,
      scatteringPower: result.scatteringPower,
      dryThickness: thickness,
      absorption: perMicrometre(result.absorptionPower),
      scattering: perMicrometre(result.scatteringPower),
      status: result.status,
      notes,
    });
    return determined > 0 ? exitCode.ok : exitCode.failed;
  },
};
