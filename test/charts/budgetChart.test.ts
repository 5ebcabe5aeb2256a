import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { budgetChart } from "../../src/charts/budgetChart.ts";
import { draw, pathOf } from "./drawn.ts";
import { budget, charts, wavelengths, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test("looks as it did (regression)", () => expectChart("budgetChart", charts.budget(wide)));

test("bands stand on each other and reach the sum of their shares", () => {
  const picture = draw(charts.budget(wide));
  const { apply } = picture.scale("y")!;
  const areas = picture.marks("area")[0].all("path").map(pathOf);
  expect(areas).toHaveLength(3);
  const tops = picture.marks("line")[0].all("path").map(pathOf);
  areas.forEach((area, band) => {
    // A line along the upper edge.
    expect(tops[band]).toEqual(area.slice(0, wavelengths.length));
    // Along its upper edge and back along its lower one.
    expect(area).toHaveLength(2 * wavelengths.length);
    for (let i = 0; i < wavelengths.length; i++) {
      const lower = area[2 * wavelengths.length - 1 - i].y;
      expect(lower).toBeCloseTo(band === 0 ? apply(0) : areas[band - 1][i].y, 2);
    }
  });
  // identity: the shares add up to 1
  for (const { y } of areas[2].slice(0, wavelengths.length)) expect(y).toBeCloseTo(apply(1), 2);
});

test("bands that share a colour differ in hatching, in the picture and in the key", () => {
  const bands = budget.bands.map((band) => ({ ...band, colour: "#888888" }));
  const options = budgetChart(Plot, { wavelengths, bands }, wide);
  const hatching = draw(options).marks("area")[1].all("path");
  expect(new Set(hatching.map((path) => path.attributes.get("fill"))).size).toBe(3);
  expect(new Set(options.key!.map(({ pattern }) => pattern)).size).toBe(3);
});

test("hatchings used are defined in the picture itself", () => {
  const picture = draw(charts.budget(wide));
  const defined = picture.all("pattern").map((pattern) => `url(#${pattern.attributes.get("id")})`);
  const used = picture.all("path").flatMap((path) => path.attributes.get("fill")?.match(/^url.*/)?.[0] ?? []);
  expect(used.length).toBeGreaterThan(0);
  for (const fill of used) expect(defined).toContain(fill);
});

test("refuses a band of another length", () => {
  const bands = [{ label: "coat", share: [1], colour: "red" }];
  expect(() => budgetChart(Plot, { wavelengths, bands }, wide)).toThrow(
    /“coat”: 1 values for 36 wavelengths/,
  );
});
