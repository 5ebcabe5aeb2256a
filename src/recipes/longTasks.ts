import { longTask } from "../tasks/longTask.ts";
import type { Correction, CorrectionRequest } from "./correction.ts";
import type { FitRequest } from "./fitAmounts.ts";
import type { ExplainedFit } from "./limitCosts.ts";
import type { SearchRequest, SearchResult } from "./search.ts";

export const correctionTask = longTask<CorrectionRequest, Correction>("correct-batch");
export const fitTask = longTask<FitRequest, ExplainedFit>("fit-amounts");
export const searchTask = longTask<SearchRequest, SearchResult>("recipe-search");
