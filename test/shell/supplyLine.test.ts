import { expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { supplyLine } from "../../src/shell/supplyLine.ts";

const line = (kind: string, parameters: Record<string, unknown> = {}) =>
  supplyLine(registry.get(kind)!, parameters, "metric");

test("a supply says in one line what it is set to, what is not set as it begins", () => {
  expect(line("coat-plan", { lightCoats: 3 })).toBe(
    "light coats first: 3, light coat: 15\u00a0µm wet, then heavy coats: 2, heavy coat: 30\u00a0µm wet",
  );
  expect(line("viewing", { tolerance: 2 })).toMatch(/^D65 daylight, .*passes up to: 2/);
});

test("every setting that a line names is there", () => {
  for (const kind of ["viewing", "pigment-set", "substrate", "coat-plan"]) expect(line(kind)).not.toBe("");
});

test("what computes is no supply", () => {
  for (const kind of ["coverage", "recipe", "basecoat-blend", "note", "target"])
    expect(line(kind)).toBeUndefined();
});
