import { InputError, type Surroundings } from "./surroundings.ts";

/** Surroundings that can write a file; the real ones do. */
export type Writing = Surroundings & { writeFile?(path: string, text: string): Promise<void> };

/**
 * Writes a text file.
 *
 * @throws InputError that names the file
 */
export async function writeText(surroundings: Writing, path: string, text: string): Promise<void> {
  try {
    if (surroundings.writeFile) await surroundings.writeFile(path, text);
    else {
      const { writeFile } = await import("node:fs/promises");
      await writeFile(path, text);
    }
  } catch (error) {
    throw new InputError(
      `${path}: the page cannot be written (${(error as NodeJS.ErrnoException).code ?? error}).`,
    );
  }
}
