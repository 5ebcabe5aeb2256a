import { expose } from "comlink";
import { type ApartJob, computeJob } from "../graph/apart.ts";
import type { CellKind } from "../graph/defineCell.ts";
import type { SettledOutcome } from "../graph/outcome.ts";
import type { Progress } from "../tasks/longTask.ts";

/** Makes a worker compute cells; `define` loads a kind by its name. */
export function serveKinds(define: (kind: string) => Promise<CellKind | undefined>): void {
  expose({
    async run(name: string, job: ApartJob, onBegin: Progress = () => {}): Promise<SettledOutcome> {
      const kind = await define(name);
      // Heard before the answer, even when none comes.
      await onBegin(0);
      return computeJob(kind, job);
    },
  });
}
