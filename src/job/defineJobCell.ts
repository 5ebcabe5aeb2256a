import { cellDefiner } from "../graph/defineCell.ts";
import type { PortValues } from "../ports/defineCell.ts";
import type { JobBatch } from "./batch.ts";
import type { DayPlan } from "./dayPlan.ts";
import type { JobRecord } from "./jobRecord.ts";
import type { CustomerQuote } from "./quote.ts";

interface JobPortValues extends PortValues {
  readonly batch: JobBatch;
  readonly "day-plan": DayPlan & { readonly batch: JobBatch };
  readonly "job-record": JobRecord;
  readonly quote: CustomerQuote;
}

/** Declare a kind of cell that gives or takes what belongs to a job. */
export const defineJobCell = cellDefiner<JobPortValues>();
