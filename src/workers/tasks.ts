import { bootstrapChunk } from "../calibration/bootstrap.ts";
import { calibrate } from "../calibration/calibrate.ts";
import * as calibration from "../calibration/longTasks.ts";
import { quickCalibration } from "../calibration/quick.ts";
import { refitBands } from "../calibration/refits.ts";
import * as drawdowns from "../drawdowns/longTasks.ts";
import * as exchange from "../exchange/longTasks.ts";
import { exactCurve, exactOpinion } from "../ground/exactOpinion.ts";
import { jointPlan, planPart } from "../ground/jointPlan.ts";
import * as ground from "../ground/longTasks.ts";
import { rankGrounds, rankGroundsPart } from "../ground/rankGrounds.ts";
import { uncertaintyRibbon } from "../ground/ribbon.ts";
import { settle } from "../ground/settle.ts";
import { drawUncertainty, groundUncertainty } from "../ground/uncertainty.ts";
import { unevenHand } from "../ground/unevenHand.ts";
import { correctBatch } from "../recipes/correction.ts";
import { fitExplained } from "../recipes/limitCosts.ts";
import * as recipes from "../recipes/longTasks.ts";
import { prunePart } from "../recipes/pruning.ts";
import { searchRecipes } from "../recipes/search.ts";
import { searchPart } from "../recipes/searchPart.ts";
import { calibrateShelf } from "../shelf/calibrateShelf.ts";
import * as shelf from "../shelf/longTasks.ts";
import {
  type LongTask,
  longTask,
  type Part,
  type Splitting,
  splitting,
  type TaskCode,
} from "../tasks/longTask.ts";

const handles = { ...calibration, ...drawdowns, ...exchange, ...ground, ...recipes, ...shelf };

type CodeOf<Task> = Task extends LongTask<infer Args, infer Result> ? TaskCode<Args, Result> : never;

/** The code of every long task. Adding one is a line here. */
const codes: { readonly [Name in keyof typeof handles]: CodeOf<(typeof handles)[Name]> } = {
  calibrationTask: ({ problem, options, wavelengths, weights }) =>
    calibrate(problem, options, wavelengths, weights),
  quickTask: ({ problem, weights, wavelengths }) => quickCalibration(problem, weights, wavelengths),
  refitTask: splitting(refitBands, [bootstrapChunk]),
  exactCurveTask: ({ job, point, ratios }) => exactCurve(job, point, ratios),
  exactOpinionTask: ({ job, point }) => exactOpinion(job, point),
  jointPlanTask: splitting(jointPlan, [planPart]),
  rankingTask: splitting(rankGrounds, [rankGroundsPart]),
  ribbonTask: uncertaintyRibbon,
  uncertaintyTask: splitting(groundUncertainty, [drawUncertainty]),
  settleTask: settle,
  unevenHandTask: unevenHand,
  correctionTask: correctBatch,
  fitTask: fitExplained,
  searchTask: splitting(searchRecipes, [searchPart, prunePart]),
  shelfTask: ({ shelf, options }, onProgress) => calibrateShelf(shelf, options, onProgress),
  // The readers, with their parsers, are loaded when something is to be read.
  readColoursTask: async ({ name, text, answers }, onProgress) =>
    (await import("../exchange/readColourFile.ts")).readColourFile(name, text, onProgress, answers),
  readSpectraTask: async ({ name, text, answers }, onProgress) =>
    (await import("../exchange/readSpectra.ts")).readSpectra(text, name, onProgress, answers),
  readTableTask: async ({ name, text, answers }) =>
    (await import("../drawdowns/tableFile.ts")).readTable(text, name, answers),
};

const byName = new Map<string, TaskCode<never, unknown>>();
for (const key of Object.keys(codes) as (keyof typeof codes)[]) {
  const { name } = handles[key];
  const code = codes[key];
  byName.set(name, code);
  if (typeof code !== "function")
    for (const part of code.parts) byName.set(partOf(name, code, part).name, part);
}

/** A part of a splitting task as a task of its own, so that it can be sent to a worker. */
export function partOf<Args, Result>(
  task: string,
  { parts }: Pick<Splitting<never, unknown>, "parts">,
  part: Part & ((args: Args) => Result),
): LongTask<Args, Result> {
  return longTask(`${task}, part ${parts.indexOf(part)}`);
}

/** The code of a long task. @throws RangeError for a task that is not known here */
export function codeOf<Args, Result>({ name }: LongTask<Args, Result>): TaskCode<Args, Result> {
  const code = byName.get(name);
  if (!code) throw new RangeError(`task "${name}" is unknown; known: ${[...byName.keys()].join(", ")}`);
  // The types of a task and of its code were matched above, name by name.
  return code as TaskCode<Args, Result>;
}
