import { describe, expect, test } from "vitest";
import { quantityFor } from "../../src/job/quantity.ts";

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
