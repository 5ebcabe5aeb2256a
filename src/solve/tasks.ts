import { correctBatch } from "./correction.ts";
import { fitAmounts } from "./fitAmounts.ts";
import { prunePart } from "./pruning.ts";
import { searchRecipes } from "./search.ts";
import { searchPart } from "./searchPart.ts";
import { splitting, type Task } from "./taskTypes.ts";

/** The long tasks by name. Adding one is a line here; arguments and results are plain data. */
export const tasks: Readonly<Record<string, Task>> = {
  "correct-batch": correctBatch,
  "fit-amounts": fitAmounts,
  "recipe-search": splitting(searchRecipes),
  "recipe-search-part": searchPart,
  "recipe-search-prune": prunePart,
};
