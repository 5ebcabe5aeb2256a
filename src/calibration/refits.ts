import type { SplitContext } from "../tasks/longTask.ts";
import type { CoefficientBands } from "./bands.ts";
import { bandsFromReplicates, bootstrapChunk } from "./bootstrap.ts";
import type { CalibrationFit } from "./result.ts";

export interface RefitRequest {
  readonly fit: CalibrationFit;
  readonly seed: number;
  readonly refits: number;
  /** probability inside the bands, 0…1 */
  readonly level: number;
}

const chunkSize = 10;

/** Bands of K and S from many refits to redrawn readings, in chunks for a pool. The answer does not depend on the chunks. */
export async function refitBands(
  { fit, seed, refits, level }: RefitRequest,
  { each, onProgress }: SplitContext<typeof bootstrapChunk>,
): Promise<CoefficientBands> {
  const chunks = Array.from({ length: Math.ceil(refits / chunkSize) }, (_, k) => ({
    fit,
    seed,
    first: k * chunkSize,
    count: Math.min(chunkSize, refits - k * chunkSize),
  }));
  let done = 0;
  const replicates = await each(bootstrapChunk, chunks, ({ count }) => {
    done += count;
    onProgress(done / refits, `${done} of ${refits} refits`);
  });
  return bandsFromReplicates(replicates, level);
}
