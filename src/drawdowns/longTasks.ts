import type { NamedText } from "../exchange/longTasks.ts";
import { longTask } from "../tasks/longTask.ts";
import type { readTable } from "./tableFile.ts";

/** A file of drawdowns, as spectra or as colours. */
export const readTableTask = longTask<NamedText, ReturnType<typeof readTable>>("read-drawdowns");
