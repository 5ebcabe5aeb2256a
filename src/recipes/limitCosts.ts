import { type FitRequest, type FitResult, fitAmounts } from "./fitAmounts.ts";

/** A limit that the best match runs into. */
export interface LimitCost {
  readonly limit: "loading" | "least dose" | "most" | "balance";
  /** Index of the component it is about, where it is about one. */
  readonly component?: number;
  /** How much nearer the match would come without this limit alone: objective, in ΔE00. */
  readonly cost: number;
  /** ΔE00 of the worst part in the main light without it. */
  readonly differenceWithout: number;
}

export interface ExplainedFit extends FitResult {
  /** Limits that cost something, the dearest first. */
  readonly limitCosts: readonly LimitCost[];
}

/** A limit that costs less than this (ΔE00) is not worth a word. */
const worthAWord = 0.01;
const reached = 1e-4;

/** `fitAmounts`, and which limits the best match runs into: it is fitted again without each of them. */
export function fitExplained(request: FitRequest): ExplainedFit {
  const result = fitAmounts(request);
  if (result.status === "infeasible") return { ...result, limitCosts: [] };
  return { ...result, limitCosts: limitCosts(request, result) };
}

/** What each limit costs by itself, the dearest first; limits that cost nothing are left out. */
function limitCosts(request: FitRequest, { volumes, residual }: FitResult): LimitCost[] {
  const { components, limits, leastDose = 0, balance, binderIndex } = request;
  const exact = balance ? fitAmounts({ ...request, balance: undefined, startVolumes: volumes }) : undefined;
  const kept = exact ? Math.min(exact.residual, residual) : residual;
  const costs: LimitCost[] = [];
  const consider = (
    limit: LimitCost["limit"],
    without: FitResult,
    than: number,
    component?: number,
  ): void => {
    const cost = than - without.residual;
    if (!(cost >= worthAWord)) return;
    const differenceWithout = Math.max(...without.differences.map((row) => row[0]));
    costs.push({ limit, component, cost, differenceWithout });
  };
  const loosened = (change: Partial<FitRequest>): FitResult =>
    fitAmounts({ ...request, balance: undefined, startVolumes: volumes, ...change });
  let pastes = 0;
  components.forEach(({ role }, j) => {
    if (role === "paste") pastes += volumes[j] / 100;
  });
  // A balance may stop short of the limit by less than a step of every paste.
  const play = balance ? (components.length * balance.step) / balance.batch : 0;
  if (pastes > limits.maxLoading - reached - play) {
    consider("loading", loosened({ limits: { ...limits, maxLoading: 1 } }), kept);
  }
  if (leastDose > 0 || components.some((component) => component.leastDose)) {
    const any = components.map((component) => ({ ...component, leastDose: 0 }));
    consider("least dose", loosened({ leastDose: 0, components: any }), kept);
  }
  components.forEach((_, j) => {
    const most = limits.max?.[j] ?? 100;
    if (j === binderIndex || most >= 100 || volumes[j] / 100 < most / 100 - reached - play) return;
    const max = Float64Array.from(components, (_, i) => (i === j ? 100 : (limits.max?.[i] ?? 100)));
    consider("most", loosened({ limits: { ...limits, max } }), kept, j);
  });
  if (exact) consider("balance", exact, residual);
  return costs.sort((p, q) => q.cost - p.cost);
}
