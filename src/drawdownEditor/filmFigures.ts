import { differenceText } from "../controls/numbers.ts";
import type { TableCalibration } from "../drawdowns/calibrateTable.ts";

/** What was found of one drawdown, in the words of its row. */
export interface FilmFigures {
  /** whether it takes part */
  readonly state: string;
  /** its thickness; empty where that is not settled */
  readonly found: string;
  /** what the fit leaves over */
  readonly leftOver: string;
  /** how well the others predict it */
  readonly predicted: string;
}

export const noFigures = { found: "", leftOver: "–", predicted: "–" } as const;

/** What a calibration found of the drawdown with a label. */
export function figuresOf(value: TableCalibration, label: string): FilmFigures {
  const { spectral, quick, thicknessUnit, status, contradicting } = value;
  const settled = status !== "refused";
  const difference = (deltaE: number | undefined) =>
    deltaE === undefined ? "–" : `ΔE00\u00a0${differenceText(deltaE)}`;
  const coarse = quick?.drawdowns.find((drawdown) => drawdown.label === label);
  if (coarse) {
    const { thickness, readings, leaveOneOut } = coarse;
    return {
      state: "used",
      found: Number.isFinite(thickness) && settled ? `found ${thickness.toFixed(1)} µm` : "",
      leftOver: difference(Math.max(...readings.map(({ deltaE }) => deltaE))),
      predicted: difference(leaveOneOut),
    };
  }
  const report = spectral?.drawdowns.find((drawdown) => drawdown.label === label);
  if (!report) return { ...noFigures, state: spectral ? "set aside" : "" };
  const { thickness, thicknessLogSigma, used, rms, leaveOneOut } = report;
  const sigma = thickness * thicknessLogSigma;
  const digits = sigma > 0 && sigma < 0.095 ? 2 : 1;
  const doubt = sigma > 0 ? ` ±\u00a0${sigma.toFixed(digits)}` : "";
  const unit = thicknessUnit === "µm" ? "µm" : "as laid";
  const judged = contradicting.some((one) => one.label === label);
  return {
    state: used ? (judged ? "used all the same" : "used") : "set aside",
    found:
      Number.isFinite(thickness) && settled ? `found ${thickness.toFixed(digits)}${doubt}\u00a0${unit}` : "",
    leftOver: `${(100 * rms).toFixed(2)} %`,
    predicted: difference(leaveOneOut),
  };
}
