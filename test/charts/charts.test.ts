import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { draw, placeOf } from "./drawn.ts";
import { charts, narrow, wide } from "./examples.ts";

const sources = join(import.meta.dirname, "../../src/charts");

test("every chart has an example", () => {
  const names = readdirSync(sources).flatMap((file) => /^(\w+)Chart\.ts$/.exec(file)?.[1] ?? []);
  expect(Object.keys(charts).sort()).toEqual(names.sort());
});

describe.each(Object.entries(charts))("%s chart", (_, chart) => {
  test.each([wide, narrow])("at $width px: its width, text of 15 px, words that begin inside it", (size) => {
    const options = chart(size);
    expect(options.width).toBe(size.width);
    expect(Number.parseFloat((options.style as { fontSize: string }).fontSize)).toBeGreaterThanOrEqual(15);
    const picture = draw(options);
    for (const text of picture.all("text")) {
      const { x, y } = placeOf(text);
      expect(x, text.textContent).toBeGreaterThanOrEqual(0);
      expect(x, text.textContent).toBeLessThanOrEqual(size.width);
      expect(y, text.textContent).toBeGreaterThanOrEqual(0);
      expect(y, text.textContent).toBeLessThanOrEqual(options.height!);
    }
  });

  test("no warnings and no stray numbers", () => {
    const write = (element: ReturnType<typeof draw>["children"][number]): string =>
      typeof element === "string"
        ? element
        : [...element.attributes.values(), ...element.children.map(write)].join(" ");
    expect(write(draw(chart(wide)))).not.toMatch(/NaN|undefined|Infinity|⚠/);
  });

  // A mark costs about 0.1 ms; four charts must fit into one frame of 16 ms beside everything else.
  test.each([wide, narrow])("few marks at $width px, none with a pointer tip", (size) => {
    const marks = (chart(size).marks as unknown[]).flat().filter(Boolean);
    expect(marks.length).toBeLessThanOrEqual(18);
    expect((marks as { tip?: unknown }[]).some((mark) => mark.tip)).toBe(false);
  });
});

test("no undocumented field of the chart library or of what it draws is touched", () => {
  const cells = join(sources, "../../cells");
  const files = [
    ...readdirSync(sources).map((file) => join(sources, file)),
    ...readdirSync(cells, { recursive: true, encoding: "utf8" })
      .filter((file) => file.endsWith("Chart.ts"))
      .map((file) => join(cells, file)),
    ...readdirSync(join(sources, "../controls"))
      .filter((file) => /chart/i.test(file))
      .map((file) => join(sources, "../controls", file)),
  ];
  expect(files.length).toBeGreaterThan(20);
  for (const file of files) {
    const text = readFileSync(file, "utf8");
    expect(text, file).not.toMatch(/__\w+__|\._\w|\["_|\bas (never|any)\b|\.channels\b|\.initialize\b/);
    // The next renderer of a chain, and elements made by hand, stand behind the one door alone.
    if (!file.endsWith("ownMark.ts"))
      expect(text, file).not.toMatch(/\brender:|createElementNS|RenderFunction/);
  }
});
