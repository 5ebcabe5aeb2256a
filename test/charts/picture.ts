import { existsSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect } from "vitest";
import type { ChartOptions } from "../../src/charts/chartTypes.ts";
import { draw, pictureText } from "./drawn.ts";

const folder = join(import.meta.dirname, "../pictures");

/**
 * Regression: the chart looks as it did when its picture was saved. A picture that has changed is written beside the old
 * one as NAME.new.svg, to be looked at; BOLE_PICTURES=1 takes it as the new one.
 */
export function expectPicture(name: string, text: string): void {
  const [saved, changed] = [join(folder, `${name}.svg`), join(folder, `${name}.new.svg`)];
  if (process.env.BOLE_PICTURES === "1") writeFileSync(saved, text);
  const same = existsSync(saved) && readFileSync(saved, "utf8") === text;
  if (same) rmSync(changed, { force: true });
  else writeFileSync(changed, text);
  expect(
    same,
    `test/pictures/${name}.svg differs from what is drawn now: see ${name}.new.svg beside it`,
  ).toBe(true);
}

/** The same for a chart of Plot. */
export const expectChart = (name: string, options: ChartOptions) =>
  expectPicture(name, pictureText(draw(options), name, options.key));
