import { hostileShapes, readers } from "../exchange/hostileShapes.ts";
import { medianMs } from "./measure.ts";

const MB = 1_000_000;

/**
 * Good tables and the texts that once kept readers busy longest, at 1, 2 and 4 MB. A reader that takes time in proportion
 * to the text has ratios of 2 and 4.
 */
export async function benchReaders(): Promise<void> {
  const shown = [
    ["spectra in CSV", "many columns"],
    ["spectra in CSV", "digits as a cell of a column"],
    ["films with spectra", "commas and semicolons as a comment on films"],
    ["spectra of a file", "many fields in many tables"],
    ["spectra of a file", "digits as a word of CGATS"],
    ["spectra of a file", "many values of one object"],
    ["spectra of a file", "digits as readings in CxF"],
    ["colours of a film", "many colours of one name"],
  ];
  for (const [reader, name] of shown) {
    const shape = hostileShapes.find((one) => one.reader === reader && one.name === name);
    if (!shape) throw new Error(`there is no shape "${name}" for the reader "${reader}"`);
    const times: number[] = [];
    for (const size of [MB, 2 * MB, 4 * MB]) {
      const text = shape.make(size);
      times.push(
        await medianMs(5, () => {
          try {
            readers[reader](text);
          } catch {
            // Refused in words: that too takes its time.
          }
        }),
      );
    }
    const ratios = times.map((ms) => (ms / times[0]).toFixed(1)).join(" : ");
    console.log(
      `${`reading ${reader}: ${name}`.padEnd(72)} ${times.map((ms) => ms.toFixed(1)).join(", ")} ms at 1, 2, 4 MB   ratio ${ratios}`,
    );
  }
}
