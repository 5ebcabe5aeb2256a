import { wavelengths, workingGrid } from "../colour/grid.ts";
import type { TableCalibration } from "./calibrateTable.ts";

const grid = wavelengths(workingGrid);

/** K and S with their doubt as the rows of a table. */
export function coefficientTable({ curves, bands, thicknessUnit }: TableCalibration) {
  const unit = thicknessUnit === "µm" ? "1/µm" : "1/amount";
  const columns = ["K", "K sigma", "K low", "K high", "S", "S sigma", "S low", "S high"];
  return {
    columns: ["wavelength_nm", ...columns.map((name) => `${name} (${unit})`), "settled"],
    rows: Array.from(grid, (nm, i) => [
      nm,
      curves?.absorption[i],
      curves?.absorptionSigma[i],
      bands?.absorption.low[i],
      bands?.absorption.high[i],
      curves?.scattering[i],
      curves?.scatteringSigma[i],
      bands?.scattering.low[i],
      bands?.scattering.high[i],
      curves?.status?.[i],
    ]),
  };
}
