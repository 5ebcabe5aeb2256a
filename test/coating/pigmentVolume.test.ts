import { expect, test } from "vitest";
import { dryComposition } from "../../src/coating/pigmentVolume.ts";

test("iron oxide in a binder", () => {
  // source: definition of the pigment volume concentration (ISO 4618), 20 g at 5.2 and 100 g at 1.10 g/mL; printed digits
  const { pigmentVolumeConcentration, density } = dryComposition(
    [{ mass: 20, density: 5.2 }],
    [{ mass: 100, density: 1.1 }],
  );
  expect(Math.abs(100 * pigmentVolumeConcentration - 4.059)).toBeLessThan(5e-4);
  expect(Math.abs(density - 1.2664)).toBeLessThan(5e-5);
});

test("ends, and several ingredients", () => {
  expect(dryComposition([], [{ mass: 5, density: 1.1 }])).toEqual({
    pigmentVolumeConcentration: 0,
    density: 1.1,
  }); // identity
  const split = dryComposition(
    [
      { mass: 8, density: 4 },
      { mass: 12, density: 4 },
    ],
    [{ mass: 30, density: 1.2 }],
  );
  expect(split).toEqual(dryComposition([{ mass: 20, density: 4 }], [{ mass: 30, density: 1.2 }])); // identity
  expect(() => dryComposition([], [])).toThrow(/all 0/);
  expect(() => dryComposition([{ mass: 1, density: 0 }], [])).toThrow(/density of pigment/);
  expect(() => dryComposition([], [{ mass: -1, density: 1 }])).toThrow(/mass of binder/);
});
