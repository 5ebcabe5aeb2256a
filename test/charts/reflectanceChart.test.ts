import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { reflectanceChart } from "../../src/charts/reflectanceChart.ts";
import { draw } from "./drawn.ts";
import { charts, reflectance, wavelengths, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

const [target] = reflectance.curves;

test("looks as it did (regression)", () => expectChart("reflectanceChart", charts.reflectance(wide)));

test("per cent from 0 to 100, wavelengths from first to last", () => {
  const picture = draw(charts.reflectance(wide));
  expect(picture.scale("x")!.domain).toEqual([380, 730]);
  expect(picture.scale("y")!.domain).toEqual([0, 1]);
  const texts = picture.marks("y-axis tick label")[0].all("text");
  expect(texts.map((text) => text.textContent)).toEqual(["0", "20", "40", "60", "80", "100"]);
});

test("a reading above 100 % stretches the axis instead of leaving it", () => {
  const bright = { ...target, values: target.values.map((r) => r + 0.43) };
  const options = reflectanceChart(Plot, { wavelengths, curves: [bright] }, wide);
  expect((draw(options).scale("y")!.domain as number[])[1]).toBeCloseTo(1.2, 12);
});

test("each curve has its colour over an edge, and a dash pattern that no other has; the key says the same", () => {
  const options = charts.reflectance(wide);
  const lines = draw(options).marks("line");
  expect(lines).toHaveLength(2 * reflectance.curves.length);
  const dashes = new Set<string>();
  reflectance.curves.forEach(({ label, colour }, i) => {
    const [edge, line] = lines.slice(2 * i, 2 * i + 2);
    expect(line.attributes.get("stroke")).toBe(colour);
    expect(edge.at("stroke-width")).toBeGreaterThan(line.at("stroke-width"));
    const dash = line.attributes.get("stroke-dasharray") ?? "none";
    expect(edge.attributes.get("stroke-dasharray") ?? "none").toBe(dash);
    expect(options.key![i]).toMatchObject({ label, stroke: { colour, dash: dash === "none" ? "" : dash } });
    dashes.add(dash);
  });
  expect(dashes.size).toBe(reflectance.curves.length);
});

test("refuses a curve of another length, naming it", () => {
  const curve = { ...target, values: [0.1, 0.2] };
  expect(() => reflectanceChart(Plot, { wavelengths, curves: [curve] }, wide)).toThrow(
    /“target”: 2 values for 36 wavelengths/,
  );
});
