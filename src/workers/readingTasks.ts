import type { TaskContext } from "../fit/taskTypes.ts";

/** The text of a file to be read. */
interface NamedText {
  readonly name: string;
  readonly text: string;
}

// The readers, with their parsers, are loaded when something is to be read.

/** Colours of a file in any form. @throws SpectrumFileError */
export async function readColoursTask({ name, text }: NamedText, { onProgress }: TaskContext) {
  const { readColourFile } = await import("../exchange/readColourFile.ts");
  return readColourFile(name, text, onProgress);
}

/** Spectra of a file in any form. @throws SpectrumFileError */
export async function readSpectraTask({ name, text }: NamedText, { onProgress }: TaskContext) {
  const { readSpectra } = await import("../exchange/readSpectra.ts");
  return readSpectra(text, name, onProgress);
}

/** A file of drawdowns. @throws SpectrumFileError */
export async function readDrawdownsTask({ name, text }: NamedText, { onProgress }: TaskContext) {
  const { readAnyDrawdowns } = await import("../tables/anyDrawdowns.ts");
  onProgress(0.1);
  return readAnyDrawdowns(text, name);
}
