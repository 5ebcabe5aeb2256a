import { describe, expect, test } from "vitest";
import {
  quantityFor,
  sprayMethods,
  usualTransferEfficiency,
  volumeSolidsFromMass,
} from "../../src/job/quantity.ts";

describe("how much to mix", () => {
  const job = { area: 4.2, dryThickness: 3 * 12, volumeSolids: 0.28, transferEfficiency: 0.65 };

  test("three coats of 12 µm on 4.2 m²", () => {
    // source: definitions (volume solids ISO 3233, transfer efficiency), worked by hand; tolerance 0.005: printed digits
    const quantity = quantityFor(job);
    expect(quantity.dryVolume).toBeCloseTo(151.2, 10);
    expect(quantity.wetVolume).toBeCloseTo(540, 10);
    expect(Math.abs(quantity.mixVolume - 830.77)).toBeLessThan(0.005);
    expect(quantity.thinnerVolume).toBe(0);
  });

  test("the same thinned by 10 %", () => {
    // source: as above; the film needs as much mix as before, the pot holds more
    const quantity = quantityFor({ ...job, thinner: 0.1 });
    expect(Math.abs(quantity.mixVolume - 830.77)).toBeLessThan(0.005);
    expect(Math.abs(quantity.readyVolume - 913.85)).toBeLessThan(0.005);
    expect(quantity.thinnerVolume).toBeCloseTo(quantity.readyVolume - quantity.mixVolume, 10);
  });

  test("nothing is lost: solids sprayed = solids on the part ÷ transfer efficiency", () => {
    const quantity = quantityFor(job); // identity: conservation
    expect(quantity.mixVolume * job.volumeSolids * job.transferEfficiency).toBeCloseTo(
      quantity.dryVolume,
      10,
    );
  });

  test("what cannot be is refused", () => {
    expect(() => quantityFor({ ...job, area: -1 })).toThrow(/area.*m²/);
    expect(() => quantityFor({ ...job, volumeSolids: 0 })).toThrow(/volume solids/);
    expect(() => quantityFor({ ...job, transferEfficiency: 0 })).toThrow(/transfer efficiency/);
    expect(() => quantityFor({ ...job, transferEfficiency: 1.1 })).toThrow(/transfer efficiency/);
    expect(() => quantityFor({ ...job, thinner: -0.1 })).toThrow(/thinner/);
  });
});

test("the usual transfer efficiency lies in the range met with high volume, low pressure guns", () => {
  // source: Products Finishing, "A Primer on Transfer Efficiency and Tip Sizes": 50 to 60 % in real shops
  const [from, to] = sprayMethods[0].transferEfficiency;
  expect([from, to]).toEqual([0.5, 0.6]);
  expect(usualTransferEfficiency).toBeGreaterThanOrEqual(from);
  expect(usualTransferEfficiency).toBeLessThanOrEqual(to);
});

describe("volume solids from weights", () => {
  test("30 % solids by mass", () => {
    // source: definition (compare ISO 3233, ASTM D2697): 1 − 0.70·1.05/1.00 = 26.50 %
    expect(volumeSolidsFromMass(1.05, 0.3, 1)).toBeCloseTo(0.265, 14);
  });

  test("ends", () => {
    expect(volumeSolidsFromMass(1.2, 1, 0.9)).toBe(1); // identity: nothing evaporates
    expect(volumeSolidsFromMass(1, 0, 1)).toBe(0); // identity: everything does
  });

  test("numbers that contradict each other are refused", () => {
    expect(() => volumeSolidsFromMass(1.5, 0.1, 0.9)).toThrow(/contradict/);
    expect(() => volumeSolidsFromMass(1.05, 1.3, 1)).toThrow(/mass solids/);
    expect(() => volumeSolidsFromMass(1.05, 0.3, 0)).toThrow(/volatiles/);
  });
});
