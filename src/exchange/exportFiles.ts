import { wavelengths, workingGrid } from "../colour/grid.ts";
import type { SpecularMode } from "../optics/interface.ts";
import type { LabSample, SpectralSample } from "./colourSample.ts";
import { writeCgats } from "./writeCgats.ts";
import { type Coefficients, writeCoefficientCgats, writeCoefficientCsv } from "./writeCoefficients.ts";
import { writeCxf } from "./writeCxf.ts";
import { writeLabCsv } from "./writeLabCsv.ts";
import { writeSpectrumCsv } from "./writeSpectrumCsv.ts";

/** A file that can be saved, in one open form. */
export interface ExportFile {
  readonly form: "CSV" | "CGATS" | "CxF3";
  /** ending with its dot */
  readonly ending: string;
  readonly type: string;
  /** Its text. @param created date as text; given by the caller, as the core has no clock */
  write(created: string): string;
}

const originator = "Bole";

/** Curves on the working grid as samples to save. @param specular left out where a curve is neither */
export function curveSamples(
  curves: readonly { readonly label: string; readonly values: ArrayLike<number> }[],
  specular?: SpecularMode,
): SpectralSample[] {
  const nm = Array.from(wavelengths(workingGrid));
  return curves.map(({ label, values }) => ({
    kind: "spectrum",
    label,
    wavelengths: nm,
    values: Array.from(values),
    specular,
  }));
}

/** Reflectances in all open forms. @param description what they are, in one line */
export function reflectanceFiles(samples: readonly SpectralSample[], description: string): ExportFile[] {
  const mode = samples[0]?.specular;
  const comments = [description, ...(mode ? [`specular ${mode}`] : [])];
  return [
    csv(() => writeSpectrumCsv(samples, comments)),
    cgats((created) => writeCgats(samples, { originator, description, created })),
    cxf((created) => writeCxf(samples, { originator, description, created })),
  ];
}

/** CIELAB readings in all open forms. */
export function LabFiles(samples: readonly LabSample[], description: string): ExportFile[] {
  return [
    csv(() => writeLabCsv(samples, [description])),
    cgats((created) => writeCgats(samples, { originator, description, created })),
    cxf((created) => writeCxf(samples, { originator, description, created })),
  ];
}

/** K and S; CxF3 has no place for them. */
export function coefficientFiles(components: readonly Coefficients[], description: string): ExportFile[] {
  return [
    csv(() => writeCoefficientCsv(components, [description])),
    cgats((created) => writeCoefficientCgats(components, { originator, description, created })),
  ];
}

function csv(write: () => string): ExportFile {
  return { form: "CSV", ending: ".csv", type: "text/csv", write };
}

function cgats(write: (created: string) => string): ExportFile {
  return { form: "CGATS", ending: ".txt", type: "text/plain", write };
}

function cxf(write: (created: string) => string): ExportFile {
  return { form: "CxF3", ending: ".cxf", type: "application/xml", write };
}
