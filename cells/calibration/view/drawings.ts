import type { QuickReport } from "../../../src/calibration/quickProblem.ts";
import type { DrawdownReport } from "../../../src/calibration/result.ts";
import { settledRows } from "../../../src/calibration/settled.ts";
import { curvesChart } from "../../../src/charts/curvesChart.ts";
import { reflectanceChart } from "../../../src/charts/reflectanceChart.ts";
import { largestResidual, residualChart } from "../../../src/charts/residualChart.ts";
import { settledChart } from "../../../src/charts/settledChart.ts";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import type { ChartDraw } from "../../../src/controls/boleChart.ts";
import type { Calibration } from "../define.ts";

const grid = wavelengths(workingGrid);

/** K and S with their bands, beside a component they are compared with. */
function drawCurves({ curves, bands, thicknessUnit, pigments }: Calibration, compareWith: string): ChartDraw {
  const other = pigments.components.find((component) => component.id === compareWith);
  const shown = [
    ...(curves
      ? [
          { label: "K, absorption", y: curves.absorption, band: bands?.absorption, emphasis: true },
          { label: "S, scattering", y: curves.scattering, band: bands?.scattering, emphasis: true },
        ]
      : []),
    ...(curves && other
      ? [
          { label: `K of ${other.name}`, y: other.absorption },
          { label: `S of ${other.name}`, y: other.scattering },
        ]
      : []),
  ];
  const yLabel = thicknessUnit === "µm" ? "1/µm of dry film" : "per laid amount";
  return (Plot, size) =>
    curvesChart(Plot, { x: grid, xLabel: "Wavelength, nm", yLabel, logarithmic: true, curves: shown }, size);
}

/** Where K, S or only their ratio are settled. */
function drawSettled({ curves }: Calibration): ChartDraw | undefined {
  const status = curves?.status;
  if (!status || status.every((one) => one === "both")) return undefined;
  return (Plot, size) => settledChart(Plot, { wavelengths: grid, statements: settledRows(status) }, size);
}

/** One drawdown, measured and fitted. */
function drawFit(report: DrawdownReport): ChartDraw {
  const curves = report.readings.flatMap(({ ground, measured, fitted }) => [
    { label: `${ground}, measured`, values: measured, colour: "var(--bole-ink)", role: "target" as const },
    { label: `${ground}, fitted`, values: fitted, colour: "var(--bole-ink-soft)", role: "film" as const },
  ]);
  return (Plot, size) => reflectanceChart(Plot, { wavelengths: grid, curves }, size);
}

/** What the fit leaves over, a row for each reading, and the largest of it. */
function drawResiduals(drawdowns: readonly DrawdownReport[]): { draw: ChartDraw; most: number } {
  const rows = drawdowns.flatMap(({ label, readings }) =>
    readings.map(({ ground, fitted, measured }) => ({
      label: `${label}, ${ground}`,
      values: fitted.map((value, i) => value - measured[i]),
    })),
  );
  return {
    draw: (Plot, size) => residualChart(Plot, { wavelengths: grid, rows }, size),
    most: largestResidual(rows),
  };
}

/** All charts of a calibration; `report` is the drawdown looked at. */
export function drawAll(
  value: Calibration,
  report: DrawdownReport | QuickReport | undefined,
  compareWith: string,
) {
  const { spectral } = value;
  return {
    curves: drawCurves(value, compareWith),
    settled: drawSettled(value),
    residuals: spectral && spectral.drawdowns.length > 0 ? drawResiduals(spectral.drawdowns) : undefined,
    fit: report && "rms" in report ? drawFit(report) : undefined,
  };
}
