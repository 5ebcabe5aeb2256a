import * as Plot from "@observablehq/plot";
import { type ArrowsData, arrowsChart } from "../../src/charts/arrowsChart.ts";
import { barsChart } from "../../src/charts/barsChart.ts";
import { budgetChart } from "../../src/charts/budgetChart.ts";
import type { ChartOptions, ChartSize } from "../../src/charts/chartTypes.ts";
import { type CloudData, cloudChart } from "../../src/charts/cloudChart.ts";
import { coatsChart } from "../../src/charts/coatsChart.ts";
import { curvesChart } from "../../src/charts/curvesChart.ts";
import { frontChart } from "../../src/charts/frontChart.ts";
import { type MapData, mapChart } from "../../src/charts/mapChart.ts";
import { ratioChart } from "../../src/charts/ratioChart.ts";
import { reflectanceChart } from "../../src/charts/reflectanceChart.ts";
import { residualChart } from "../../src/charts/residualChart.ts";
import { ribbonChart } from "../../src/charts/ribbonChart.ts";
import { settledChart } from "../../src/charts/settledChart.ts";
import { triangleChart } from "../../src/charts/triangleChart.ts";

/** Made-up data for one chart of each kind, for pictures and for checks. */
export const wide = { width: 900, height: 320 };
export const narrow = { width: 340, height: 340 };

export const wavelengths = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const edge = (top: number) => wavelengths.map((w) => 0.05 + (top - 0.05) / (1 + Math.exp((600 - w) / 12)));

export const reflectance = {
  wavelengths,
  curves: [
    { label: "target", values: edge(0.7), colour: "#c8102e", role: "target" as const, emphasis: true },
    { label: "ground, black", values: edge(0.05), colour: "#111111", role: "ground" as const },
    { label: "ground, grey", values: edge(0.3), colour: "#8a8a8a", role: "ground" as const },
    { label: "on the bolsters", values: edge(0.5), colour: "#8d1526", role: "film" as const },
    { label: "on the seats", values: edge(0.66), colour: "#b5182c", role: "film" as const },
    { label: "opaque", values: edge(0.72), colour: "#cc1030", role: "opaque" as const },
  ],
};

const ratios = Array.from({ length: 21 }, (_, i) => i / 20);
export const ratio = {
  ratios,
  deltaE: ratios.map((r) => 0.6 + 20 * (r - 0.6) ** 2),
  colours: ratios.map((r) => `rgb(${Math.round(150 + 50 * r)} 20 40)`),
  best: 0.6,
  flat: [0.5, 0.7] as const,
  current: 0.35,
  tolerance: 1,
  xLabel: "Warm cream, %",
  yLabel: "Colour difference ΔE00",
  label: "as planned",
  curves: [{ label: "when film build varies", deltaE: ratios.map((r) => 1 + 15 * (r - 0.5) ** 2) }],
};

export const coats = {
  series: [
    { label: "seats", deltaE: [9, 3, 1.4, 0.8] },
    { label: "bolsters", deltaE: [44, 20, 9, 5.2, 3.1], colour: "#8d1526" },
  ],
  tolerance: 1,
  planned: 3,
};

export const budget = {
  wavelengths,
  bands: [
    { label: "comes back", share: edge(0.7), colour: "#c8102e" },
    { label: "absorbed in the coat", share: edge(0.7).map((r) => (1 - r) * 0.8), colour: "#701020" },
    { label: "lost in the substrate", share: edge(0.7).map((r) => (1 - r) * 0.2), colour: "#141414" },
  ],
  marked: 560,
};

export const curves = {
  x: wavelengths,
  xLabel: "Wavelength, nm",
  yLabel: "1/µm",
  logarithmic: true,
  curves: [
    {
      label: "K",
      y: wavelengths.map((w) => (w < 600 ? 0.4 : 0.002)),
      emphasis: true,
      band: {
        low: wavelengths.map((w) => (w < 600 ? 0.3 : 0.0001)),
        high: wavelengths.map((w) => (w < 600 ? 5 : 0.003)),
      },
    },
    { label: "S", y: wavelengths.map(() => 0.05), colour: "#c8102e" },
  ],
};

export const settled = {
  wavelengths,
  statements: [
    { label: "K settled", holds: wavelengths.map((nm) => nm < 450 || nm === 600) },
    { label: "S settled", holds: wavelengths.map(() => true) },
    { label: "both from mixtures alone", holds: wavelengths.map(() => false) },
  ],
};

export const residual = {
  wavelengths,
  rows: ["black", "white"].map((ground, sign) => ({
    label: `let-down 1:40 with titanium white, thick, ${ground}`,
    values: wavelengths.map((_, i) => (i === 3 ? (sign ? 0.02 : -0.01) : 0)),
  })),
};

const valley = ratios.map((at) => 0.3 + 8 * (at - 0.55) ** 2);
export const ribbon = {
  curves: [
    { label: "as planned", x: ratios, y: valley },
    { label: "on average", x: ratios, y: valley.map((y) => y + 0.6) },
  ],
  areas: [
    { label: "9 of 10 cases", x: ratios, low: valley.map((y) => y * 0.7), high: valley.map((y) => y + 2) },
    { label: "between the theories", x: ratios, low: valley, high: valley.map((y) => y + 1), hatched: true },
  ],
  markers: [
    { label: "best 55 %", x: 0.55 },
    { label: "safest 98 %", x: 0.98 },
    { label: "now 20 %", x: 0.2, now: true },
  ],
  tolerance: 1,
  domain: [0, 1] as const,
  xKind: "share" as const,
  xLabel: "share of Warm cream, %",
  yLabel: "ΔE00",
};

export const bars = {
  bars: [
    { label: "colour film build", share: 0.96, doubt: 0.01, total: 0.99 },
    { label: "doses", share: -0.002, doubt: 0.004, total: 0.01 },
  ],
  xLabel: "share of the spread, %",
};

export const front = {
  points: [
    { x: 0.5, difference: 15, passes: false, label: "1 + 1 + 0" },
    { x: 0.8, difference: 1.4, passes: false, label: "1 + 1 + 1" },
    { x: 0.98, difference: 0.3, passes: true, label: "1 + 2 + 1" },
    { x: 1, difference: 0.29, passes: true, label: "2 + 1 + 1" },
  ],
  chosen: 2,
  current: { x: 1.6, difference: 1.3 },
  tolerance: 1,
  xLabel: "litres to mix",
  yLabel: "ΔE00",
};

export const steps = 12;
export const blends = Array.from({ length: steps + 1 }, (_, third) =>
  Array.from({ length: steps - third + 1 }, (_, second) => ({
    second: second / steps,
    third: third / steps,
  })),
).flat();
export const triangle = {
  steps,
  values: blends.map(({ second, third }) => 0.2 + 6 * Math.hypot(second - 0.5, third - 0.2)),
  names: ["Cool light grey", "Warm cream", "White"] as [string, string, string],
  best: { second: 0.5, third: 0.2, text: "0.20" },
  current: { second: 0.1, third: 0 },
  level: 1,
};

const across = [10, 20, 30, 40, 50, 60];
const upward = [0, 1, 2, 3, 4];
export const map: MapData = {
  x: across,
  y: upward,
  values: upward.flatMap((y) => across.map((x) => 0.4 + Math.hypot((x - 40) / 10, y - 2))),
  xLabel: "Wet thickness, µm",
  yLabel: "Coats",
  current: { x: 15, y: 1 },
  level: 1.5,
};

/** Three rounds of a region that shrinks, each half as wide as the one before. */
const cloud: CloudData = {
  rounds: [8, 4, 2].map((radius, k) => ({
    label: `after panel ${k + 1}`,
    L: 41,
    a: 52 + k,
    b: 28,
    outline: Array.from({ length: 66 }, (_, i) => {
      const turn = (Math.PI * (i >> 1)) / 16;
      return i % 2 === 0 ? 52 + k + radius * Math.cos(turn) : 28 + 0.6 * radius * Math.sin(turn);
    }),
    darkest: 41 - radius / 2,
    lightest: 41 + radius / 2,
  })),
  panels: [
    { label: "1", L: 46, a: 60, b: 36, colour: "#c94b3a" },
    { label: "2", L: 43, a: 54, b: 26, colour: "#b93f45" },
    { label: "3", L: 41.5, a: 53.5, b: 28.5, colour: "#b53a40" },
  ],
};

export const arrows: ArrowsData = {
  hue: 32,
  moves: [
    { label: "red ×42", a: 2.1, b: 0.9, lightness: -0.8, colour: "#b5182c" },
    { label: "violet ×1.7", a: 1.2, b: -1.6, lightness: -1.4, colour: "#5c2a72" },
    { label: "yellow ×9", a: -0.4, b: 2.4, lightness: 1.1, colour: "#d9a400" },
    { label: "white ×6", a: -0.9, b: -0.7, lightness: 2.2, colour: "#8a8a8a" },
    { label: "black ×0.4", a: -0.8, b: -0.65, lightness: -2.5, colour: "#111111" },
  ],
};

export const charts: Record<string, (size: ChartSize) => ChartOptions> = {
  reflectance: (size) => reflectanceChart(Plot, reflectance, size),
  ratio: (size) => ratioChart(Plot, ratio, size),
  coats: (size) => coatsChart(Plot, coats, size),
  budget: (size) => budgetChart(Plot, budget, size),
  curves: (size) => curvesChart(Plot, curves, size),
  settled: (size) => settledChart(Plot, settled, size),
  residual: (size) => residualChart(Plot, residual, size),
  ribbon: (size) => ribbonChart(Plot, ribbon, size),
  bars: (size) => barsChart(Plot, bars, size),
  front: (size) => frontChart(Plot, front, size),
  triangle: (size) => triangleChart(Plot, triangle, size),
  map: (size) => mapChart(Plot, map, size),
  arrows: (size) => arrowsChart(Plot, arrows, size),
  cloud: (size) => cloudChart(Plot, cloud, size),
};
