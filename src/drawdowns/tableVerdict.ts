import { differenceText } from "../graph/numbers.ts";
import type { Verdict } from "../graph/verdict.ts";
import type { TableCalibration } from "./calibrateTable.ts";

const words: Record<TableCalibration["status"], string> = {
  accepted: "The data suffice.",
  "accepted with cautions": "Usable, with cautions.",
  coarse: "Coarse: made from colours alone.",
  refused: "The data do not suffice.",
};

/** Whether the drawdowns of a table suffice, and how far a drawdown would be off its prediction. */
export function tableVerdict({ status, predicts, from }: TableCalibration): Verdict {
  const figure = words[status];
  if (predicts === undefined || status === "refused") return { text: figure, figure };
  const off = `ΔE00\u00a0${differenceText(predicts)}`;
  const text =
    from === "colours"
      ? `Expect a panel to be off by about ${off}: so far the drawdowns are predicted from the others (median).`
      : `A drawdown is predicted from the others within ${off} (median).`;
  return { text: `${figure} ${text}`, figure };
}
