import { longTask } from "../tasks/longTask.ts";
import type { ExactCurve, ExactOpinion } from "./exactOpinion.ts";
import type { GroundJob, GroundPoint } from "./job.ts";
import type { JointPlanResult } from "./jointPlan.ts";
import type { JointPlanRequest } from "./plan.ts";
import type { GroundRanking, GroundRankingRequest } from "./rankGrounds.ts";
import type { Ribbon, RibbonRequest } from "./ribbon.ts";
import type { Settled, SettleRequest } from "./settle.ts";
import type { Uncertainty, UncertaintyRequest } from "./uncertainty.ts";
import type { UnevenHand, UnevenHandRequest } from "./unevenHand.ts";

interface JobAtPoint {
  readonly job: GroundJob;
  readonly point: GroundPoint;
}

export const exactOpinionTask = longTask<JobAtPoint, ExactOpinion>("exact-opinion");
export const exactCurveTask = longTask<JobAtPoint & { readonly ratios: ArrayLike<number> }, ExactCurve>(
  "exact-curve",
);
export const jointPlanTask = longTask<JointPlanRequest, JointPlanResult>("joint-plan");
export const rankingTask = longTask<GroundRankingRequest, GroundRanking>("ground-ranking");
export const ribbonTask = longTask<RibbonRequest, Ribbon>("ground-uncertainty-ribbon");
export const settleTask = longTask<SettleRequest, Settled>("settle-blend-and-recipe");
export const uncertaintyTask = longTask<UncertaintyRequest, Uncertainty>("ground-uncertainty");
export const unevenHandTask = longTask<UnevenHandRequest, UnevenHand>("uneven-hand");
