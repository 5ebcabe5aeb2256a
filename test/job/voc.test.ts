import { expect, test } from "vitest";
import { vocLessWater, vocOfMaterial } from "../../src/job/voc.ts";

const waterborne = { volume: 1, volatileMass: 735, waterMass: 650, waterVolume: 650 / 998 };

test("one litre of a water-borne mix", () => {
  // source: 40 CFR 59.104(a)(1); 650 g of water at 0.998 g/mL; tolerance 0.02: the printed 0.6513 L of water is rounded
  expect(Math.abs(vocLessWater(waterborne) - 243.76)).toBeLessThan(0.02);
  expect(vocOfMaterial(waterborne)).toBe(85);
});

test("without water both figures agree, and exempt compounds do not count", () => {
  const solvent = { volume: 2, volatileMass: 1000, waterMass: 0, waterVolume: 0 };
  expect(vocLessWater(solvent)).toBe(500); // identity
  expect(vocOfMaterial(solvent)).toBe(500);
  expect(vocLessWater({ ...solvent, exemptMass: 200, exemptVolume: 0.4 })).toBe(800 / 1.6); // source: 40 CFR 59.104(a)(1)
});

test("what cannot be is refused", () => {
  expect(() => vocLessWater({ ...waterborne, waterMass: 800 })).toThrow(/volatiles/);
  expect(() => vocLessWater({ ...waterborne, waterVolume: 1 })).toThrow(/less than/);
  expect(() => vocLessWater({ ...waterborne, volume: 0 })).toThrow(/volume.*L/);
});
