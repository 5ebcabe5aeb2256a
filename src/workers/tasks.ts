import { calibrateTask, quickTask, refitPart, refitTask } from "../calibration/calibrationTasks.ts";
import { splitting, type Task } from "../fit/taskTypes.ts";
import { exactCurveTask } from "../ground/exactOpinion.ts";
import { jointPlan, planPart } from "../ground/jointPlan.ts";
import { rankGrounds, rankGroundsPart } from "../ground/rankGrounds.ts";
import { uncertaintyRibbon } from "../ground/ribbon.ts";
import { drawUncertainty, groundUncertainty } from "../ground/uncertainty.ts";
import { exactOpinionTask, unevenHand } from "../ground/unevenHand.ts";
import { correctBatch } from "../recipes/correction.ts";
import { fitAmounts } from "../recipes/fitAmounts.ts";
import { prunePart } from "../recipes/pruning.ts";
import { searchRecipes } from "../recipes/search.ts";
import { searchPart } from "../recipes/searchPart.ts";
import { readColoursTask, readDrawdownsTask, readSpectraTask } from "./readingTasks.ts";

/** The long tasks by name. Adding one is a line here; arguments and results are plain data. */
export const tasks: Readonly<Record<string, Task>> = {
  calibrate: calibrateTask,
  "calibration-refits": refitTask,
  "calibration-refits-part": refitPart,
  "correct-batch": correctBatch,
  "exact-curve": exactCurveTask,
  "exact-opinion": exactOpinionTask,
  "fit-amounts": fitAmounts,
  "ground-ranking": splitting(rankGrounds),
  "ground-ranking-part": rankGroundsPart,
  "ground-uncertainty": splitting(groundUncertainty),
  "ground-uncertainty-part": drawUncertainty,
  "ground-uncertainty-ribbon": uncertaintyRibbon,
  "joint-plan": splitting(jointPlan),
  "joint-plan-part": planPart,
  "quick-calibration": quickTask,
  "read-colours": readColoursTask,
  "read-drawdowns": readDrawdownsTask,
  "read-spectra": readSpectraTask,
  "recipe-search": splitting(searchRecipes),
  "recipe-search-part": searchPart,
  "recipe-search-prune": prunePart,
  "uneven-hand": unevenHand,
};
