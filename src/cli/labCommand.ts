import { LabToLCh, XYZToLab } from "../colour/Lab.ts";
import { resampleToGrid } from "../colour/resample.ts";
import { reflectanceToXYZ } from "../colour/XYZ.ts";
import { illuminantNames, labelOfIlluminant } from "../tables/illuminants.ts";
import { observerNames } from "../tables/observers.ts";
import { weightsFor } from "../tables/weights.ts";
import { choiceOption, readOptions } from "./options.ts";
import { readAnswers, readingHelp, readingOptions } from "./readingOptions.ts";
import { readCurves } from "./spectra.ts";
import { type Command, exitCode, InputError, printJson } from "./surroundings.ts";

const help = `Colour of measured reflectances: XYZ, CIELAB and LCh.

  npm run -s bole -- lab FILE.csv --observer NAME --illuminant NAME [--illuminant …]

  FILE.csv            reflectances as fractions or per cent, wavelengths in the first column or the first row
  --observer NAME     ${observerNames.join(" or ")} (CIE 1964 10° or CIE 1931 2°)
  --illuminant NAME   a light such as D65, A or FL11; repeat it for more lights
${readingHelp}

Lights: ${illuminantNames.join(", ")}.

Prints JSON: for each sample and light XYZ (Y = 100 for the perfect diffuser), Lab and LCh, and notes on everything
that was assumed. Exit code 0, or 2 when a file or an option cannot be used.`;

/** bole lab: colour of measured reflectances. */
export const labCommand: Command = {
  name: "lab",
  summary: "colour (XYZ, CIELAB) of measured reflectances",
  help,
  async run(argv, surroundings) {
    const { values, positionals } = readOptions(argv, {
      observer: { type: "string" },
      illuminant: { type: "string", multiple: true },
      ...readingOptions,
    });
    if (positionals.length !== 1) throw new InputError("Give one CSV file with reflectances.");
    const observer = choiceOption("--observer", values.observer, observerNames);
    if (!values.illuminant)
      throw new InputError("--illuminant is missing. Give a light such as D65, A or FL11.");
    const weights = values.illuminant.map((name) => weightsFor(observer, name));

    const notes: string[] = [];
    const samples = (await readCurves(surroundings, positionals[0], notes, readAnswers(values))).map(
      ({ name, wavelengths, values: R }) => {
        let resampled: ReturnType<typeof resampleToGrid>;
        try {
          resampled = resampleToGrid(wavelengths, R);
        } catch (error) {
          throw new InputError(`${positionals[0]}, sample "${name}": ${(error as Error).message}.`);
        }
        notes.push(...resampled.notes.map((note) => `${name}: ${note}`));
        const colours = weights.map((weight) => {
          const XYZ = reflectanceToXYZ(resampled.values, weight, new Float64Array(3));
          const Lab = XYZToLab(XYZ, weight.white, new Float64Array(3));
          return {
            illuminant: weight.illuminant,
            light: labelOfIlluminant(weight.illuminant),
            XYZ,
            Lab,
            LCh: LabToLCh(Lab, new Float64Array(3)),
          };
        });
        return { label: name, colours };
      },
    );
    printJson(surroundings, { file: positionals[0], observer, samples, notes });
    return exitCode.ok;
  },
};
