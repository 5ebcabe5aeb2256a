import { expect, test } from "vitest";
import { oneColour } from "../../src/exchange/oneColour.ts";

const Lab = (L: number, a: number, b: number) => ({
  kind: "Lab" as const,
  label: "seat",
  Lab: [L, a, b] as const,
  specular: "excluded" as const,
});
const nm = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const flat = (value: number) => ({
  kind: "spectrum" as const,
  label: "lid",
  wavelengths: nm,
  values: nm.map(() => value),
});

test("one Lab stays as it is", () => {
  expect(oneColour([Lab(40, 5, 6)], "typed")).toMatchObject({
    kind: "lab",
    Lab: { label: "seat", L: 40, a: 5, b: 6 },
    specular: "excluded",
    observer: undefined,
  });
});

// identity: arithmetic mean
test("several readings are averaged, and say so", () => {
  expect(oneColour([Lab(40, 5, 6), Lab(42, 7, 6)], "typed")).toMatchObject({
    Lab: { label: "mean of 2 readings", L: 41, a: 6, b: 6 },
  });
  const mean = oneColour([flat(0.2), flat(0.4)], "lid.csv");
  expect(mean.kind).toBe("spectrum");
  if (mean.kind !== "spectrum") return;
  for (const value of mean.spectrum.values) expect(value).toBeCloseTo(0.3, 12);
});

test("spectra and Lab are not mixed", () => {
  expect(() => oneColour([flat(0.2), Lab(40, 5, 6)], "x")).toThrow(/mixed/);
  expect(() => oneColour([Lab(40, 5, 6), flat(0.2)], "x")).toThrow(/mixed/);
  expect(() => oneColour([], "x")).toThrow(/no colour/);
});
