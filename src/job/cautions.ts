import type { Caution } from "../tables/cautions.ts";

// Which cautions belong to a job. The texts are data; they defer to label, safety data sheet, local codes and licensed
// practice, and so does everything here.

/** What is used in a job, and for whom. */
export interface JobUse {
  readonly spraying: boolean;
  /** the cross-linker holds diisocyanate */
  readonly isocyanate: boolean;
  /** anything solvent-borne, thinner and cleaner included */
  readonly solvent: boolean;
  readonly vehicle: boolean;
  readonly children: boolean;
}

/** The cautions of a job, in the order of the table. Each trigger of two words asks for both. */
export function cautionsFor(use: JobUse, table: readonly Caution[]): Caution[] {
  return table.filter(
    ({ when }) => when === "always" || when.split(" ").every((word) => use[word as keyof JobUse]),
  );
}
