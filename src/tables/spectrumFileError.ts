/** A file of measured reflectances that cannot be read. The message names file, row and field and a way out. */
export class SpectrumFileError extends Error {
  readonly userMessage = true;
  override readonly name: string = "SpectrumFileError";

  /**
   * @param problem what is wrong, without capital and full stop   @param wayOut what to do about it
   * @param row row in the file, counted from 1   @param field heading or number of the column
   */
  constructor(
    readonly file: string,
    problem: string,
    wayOut: string,
    readonly row?: number,
    readonly field?: string,
  ) {
    const place = [
      file,
      row === undefined ? "" : `row ${row}`,
      field === undefined ? "" : `field "${field}"`,
    ];
    super(`${place.filter(Boolean).join(", ")}: ${problem}. ${wayOut}${wayOut.endsWith("?") ? "" : "."}`);
  }
}
