import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { containersFor } from "../../src/job/containers.ts";
import {
  applicationMethods,
  checkTransfer,
  type FilmNeed,
  filmQuantity,
  type LayerLedger,
  roundUp,
  trueSurface,
  wipeQuantity,
} from "../../src/job/layerQuantity.ts";
import { amountText, type PouringUnit, pouringUnits, pourOut, scaleVolumes } from "../../src/job/pouring.ts";
import { readyMixVoc } from "../../src/job/readyMixVoc.ts";

/** Nothing is kept back, lost or rounded. */
const noAllowances = { cupAndHose: 0, panelArea: 0, reserve: 0, roundTo: 0 };

const seed = 6509;

const job: FilmNeed = {
  ...noAllowances,
  area: 4.2,
  dryThickness: 3 * 12,
  volumeSolids: 0.28,
  transferEfficiency: 0.65,
  thinner: 0,
};
const partsOf = ({ onParts, overspray, testPanels, cupAndHose, reserve, rounding }: LayerLedger) =>
  onParts + overspray + testPanels + cupAndHose + reserve + rounding;

const anyNeed = fc.record({
  area: fc.double({ min: 0.001, max: 500, noNaN: true }),
  dryThickness: fc.double({ min: 0.1, max: 200, noNaN: true }),
  volumeSolids: fc.double({ min: 0.01, max: 1, noNaN: true }),
  transferEfficiency: fc.double({ min: 0.01, max: 1, noNaN: true }),
  thinner: fc.double({ min: 0, max: 1, noNaN: true }),
  cupAndHose: fc.double({ min: 0, max: 500, noNaN: true }),
  panelArea: fc.double({ min: 0, max: 2, noNaN: true }),
  reserve: fc.double({ min: 0, max: 1, noNaN: true }),
  roundTo: fc.constantFrom(0, 1, 5, 10, 250),
});

describe("how much of a film", () => {
  test("three coats of 12 µm dry on 4.2 m²", () => {
    // source: definitions (volume solids ISO 3233, transfer efficiency), worked by hand; tolerance 0.005: printed digits
    const { ledger, mixVolume, dryVolume } = filmQuantity(job);
    expect(dryVolume).toBeCloseTo(151.2, 10);
    expect(ledger.onParts).toBeCloseTo(540, 10);
    expect(Math.abs(mixVolume - 830.77)).toBeLessThan(0.005);
    expect(Math.abs(ledger.overspray - 290.77)).toBeLessThan(0.005);
  });

  test("the same with 10 % of thinner", () => {
    // source: as above; the film needs the same mix, the pot holds a tenth more
    const { ledger, mixVolume, thinnerVolume } = filmQuantity({ ...job, thinner: 0.1 });
    expect(Math.abs(mixVolume - 830.77)).toBeLessThan(0.005);
    expect(Math.abs(ledger.dispensed - 913.85)).toBeLessThan(0.005);
    expect(thinnerVolume).toBeCloseTo(mixVolume / 10, 10);
  });

  test("nothing is lost: what is dispensed is on the parts, beside them, on panels, in the cup or kept", () => {
    // identity: conservation, to 1e-9 of the whole
    fc.assert(
      fc.property(anyNeed, (need) => {
        const { ledger } = filmQuantity(need);
        expect(Math.abs(partsOf(ledger) / ledger.dispensed - 1)).toBeLessThan(1e-9);
        for (const part of [ledger.onParts, ledger.overspray, ledger.testPanels, ledger.reserve])
          expect(part).toBeGreaterThanOrEqual(0);
      }),
      { seed, numRuns: 500 },
    );
  });

  test("solids are conserved: those on the parts are the dry film", () => {
    // identity: ready mix on the parts × its solids = area × dry thickness
    fc.assert(
      fc.property(anyNeed, (need) => {
        const { ledger, dryVolume } = filmQuantity(need);
        const solids = (ledger.onParts / (1 + need.thinner)) * need.volumeSolids;
        expect(solids / (need.area * need.dryThickness)).toBeCloseTo(1, 9);
        expect(dryVolume / solids).toBeCloseTo(1, 9);
      }),
      { seed, numRuns: 300 },
    );
  });

  test("rounding never makes less than is needed, and never a whole step more", () => {
    // identity: rounding up
    fc.assert(
      fc.property(anyNeed, (need) => {
        const exact = filmQuantity({ ...need, roundTo: 0 });
        const rounded = filmQuantity(need);
        expect(rounded.mixVolume).toBeGreaterThanOrEqual(exact.mixVolume * (1 - 1e-9));
        if (need.roundTo > 0) {
          expect(rounded.mixVolume - exact.mixVolume).toBeLessThan(need.roundTo);
          const steps = rounded.mixVolume / need.roundTo;
          expect(Math.abs(steps - Math.round(steps))).toBeLessThan(1e-9 * Math.max(1, steps));
        }
      }),
      { seed, numRuns: 500 },
    );
    expect(roundUp(300.00000000000006, 10)).toBe(300); // rounding error costs no whole step
    expect(roundUp(300.1, 10)).toBe(310);
    expect(roundUp(7.3, 0)).toBe(7.3);
  });

  test("area without allowances scales everything", () => {
    // identity: proportion
    const once = filmQuantity(job).ledger;
    const twice = filmQuantity({ ...job, area: 2 * job.area }).ledger;
    for (const name of Object.keys(once) as (keyof LayerLedger)[])
      expect(twice[name]).toBeCloseTo(2 * once[name], 9);
  });

  test("a layer that is not laid takes nothing, not even for the cup", () => {
    const { ledger } = filmQuantity({ ...job, dryThickness: 0, cupAndHose: 50, reserve: 0.1 });
    expect(ledger.dispensed).toBe(0); // identity
  });

  test.each([
    [{ area: -1 }, /area.*m²/],
    [{ volumeSolids: 0 }, /volume solids/],
    [{ volumeSolids: 1.01 }, /volume solids/],
    [{ transferEfficiency: 0 }, /transfer efficiency/],
    [{ transferEfficiency: 1.2 }, /transfer efficiency/],
    [{ thinner: -0.1 }, /thinner/],
    [{ cupAndHose: -5 }, /cup and hose.*mL/],
    [{ panelArea: -1 }, /test panels/],
    [{ reserve: -0.1 }, /reserve/],
    [{ roundTo: -10 }, /rounding step/],
    [{ dryThickness: Number.NaN }, /dry thickness/],
  ])("%j is refused, by name", (wrong, message) => {
    expect(() => filmQuantity({ ...job, ...wrong })).toThrow(message);
  });
});

describe("how much of a cleaner", () => {
  const wipe = { ...noAllowances, area: 5, volumePerArea: 40, passes: 2 };

  test("area × amount × times", () => {
    expect(wipeQuantity(wipe).ledger.dispensed).toBe(400); // identity
    expect(wipeQuantity({ ...wipe, passes: 0, cupAndHose: 20 }).ledger.dispensed).toBe(0);
  });

  test("nothing is lost", () => {
    const { ledger } = wipeQuantity({
      ...wipe,
      cupAndHose: 30,
      panelArea: 0.06,
      reserve: 0.1,
      roundTo: 10,
    });
    expect(partsOf(ledger)).toBeCloseTo(ledger.dispensed, 9); // identity: conservation
  });

  test("what cannot be is refused", () => {
    expect(() => wipeQuantity({ ...wipe, volumePerArea: -1 })).toThrow(/cleaner.*mL\/m²/);
    expect(() => wipeQuantity({ ...wipe, area: -1 })).toThrow(/area/);
  });
});

test("grain adds surface", () => {
  expect(trueSurface(0.5, 4, 1.2)).toBeCloseTo(2.4, 14); // identity: definition
  expect(() => trueSurface(0, 4, 1)).toThrow(/area.*m²/);
  expect(() => trueSurface(0.5, 4, 0.9)).toThrow(/texture factor/);
});

test("ways of application", () => {
  const share = (id: string) => applicationMethods.find((method) => method.id === id)!.transferEfficiency;
  // source: South Coast AQMD, "Spray Equipment Transfer Efficiency": at least 65 % for HVLP or what counts as equal to it
  expect(share("hvlp")).toBe(0.65);
  // source: Products Finishing, "A Primer on Transfer Efficiency and Tip Sizes": about 30 % with a conventional cup gun
  expect(share("gun")).toBe(0.3);
  for (const { transferEfficiency } of applicationMethods)
    expect(() => checkTransfer("transfer", transferEfficiency)).not.toThrow();
  expect(() => checkTransfer("transfer", 0)).toThrow(/transfer/);
});

const shelf = [
  { name: "Pyrrole red", density: 1.1, role: "paste" },
  { name: "Titanium white", density: 1.82, role: "paste" },
  { name: "Binder", density: 1.03, role: "binder" },
];
const anyRecipe = fc
  .array(
    fc.record({
      volume: fc.double({ min: 0.05, max: 100, noNaN: true }),
      density: fc.double({ min: 0.7, max: 4, noNaN: true }),
      role: fc.constantFrom("paste", "binder"),
    }),
    { minLength: 1, maxLength: 8 },
  )
  .map((parts) => ({
    volumes: parts.map(({ volume }) => volume),
    components: parts.map(({ density, role }, j) => ({ name: `component ${j}`, density, role })),
  }));

describe("scaling a recipe to a batch", () => {
  test("keeps every ratio", () => {
    // identity: proportion
    fc.assert(
      fc.property(anyRecipe, fc.double({ min: 1, max: 1e5, noNaN: true }), ({ volumes }, total) => {
        const scaled = scaleVolumes(volumes, total);
        expect(scaled.reduce((a, b) => a + b) / total).toBeCloseTo(1, 10);
        for (let j = 1; j < volumes.length; j++)
          expect(scaled[j] / scaled[0] / (volumes[j] / volumes[0])).toBeCloseTo(1, 10);
      }),
      { seed, numRuns: 300 },
    );
    expect(() => scaleVolumes([0, 0], 100)).toThrow(/empty/);
    expect(() => scaleVolumes([1, -1], 100)).toThrow(/volume\[1\]/);
  });

  test("weights run up in the pot", () => {
    // source: arithmetic by hand: 200 mL of 16.5 : 0.5 : 83 with a balance that shows 0.1 g
    const { amounts, mass, volume } = pourOut(shelf, [16.5, 0.5, 83], 200, { unit: "grams", step: 0.1 });
    expect(amounts.map(({ amount }) => Number(amount.toFixed(6)))).toEqual([36.3, 1.8, 171]);
    expect(amounts.map(({ cumulativeAmount }) => Number(cumulativeAmount.toFixed(6)))).toEqual([
      36.3, 38.1, 209.1,
    ]);
    expect(mass).toBeCloseTo(209.1, 9);
    expect(volume).toBeCloseTo(36.3 / 1.1 + 1.8 / 1.82 + 171 / 1.03, 9);
  });

  test("rounding to steps never makes less than is needed, and moves no share by more than its step", () => {
    // identity: nearest step for each, whole steps of the largest on top
    fc.assert(
      fc.property(
        anyRecipe,
        fc.double({ min: 5, max: 5000, noNaN: true }),
        fc.constantFrom<PouringUnit>(...pouringUnits),
        fc.constantFrom(0.01, 0.1, 0.5),
        ({ components, volumes }, needed, unit, step) => {
          const { amounts, volume, mass } = pourOut(components, volumes, needed, { unit, step });
          expect(volume).toBeGreaterThanOrEqual(needed * (1 - 1e-9));
          const wanted = scaleVolumes(volumes, needed);
          const largest = wanted.indexOf(Math.max(...wanted));
          let running = 0;
          amounts.forEach((poured, j) => {
            running += poured.mass;
            expect(poured.cumulativeMass).toBeCloseTo(running, 6);
            if (j === largest || poured.amount === 0) return;
            const own = unit !== "drops" ? step : poured.unit === "drops" ? 1 : 0.5;
            const size = (poured.volume / poured.amount) * own;
            expect(Math.abs(poured.volume - wanted[j])).toBeLessThanOrEqual(size * (0.5 + 1e-6));
          });
          expect(mass).toBeCloseTo(running, 6);
        },
      ),
      { seed, numRuns: 400 },
    );
  });

  test("a small batch in drops", () => {
    // source: USP 32 <1101>: 20 drops to the mL; 0.35 mL is 7 drops
    const { amounts } = pourOut(shelf, [0.35, 0.05, 9.6], 10, { unit: "drops", step: 1, dropsPerMl: 20 });
    expect(amounts.map(({ amount, unit }) => `${amount} ${unit}`)).toEqual([
      "7 drops",
      "1 drops",
      "10 millilitres",
    ]);
  });

  test("what would vanish by rounding is told", () => {
    const { amounts, notes } = pourOut(shelf, [10, 0.001, 90], 50, { unit: "grams", step: 0.1 });
    expect(amounts[1].amount).toBe(0);
    expect(amounts[1].off).toBeCloseTo(-1, 12);
    expect(notes.join()).toMatch(/Titanium white.*less than half a step/);
  });

  test("thousands of drops are advised against", () => {
    const { notes } = pourOut(shelf, [20, 1, 79], 1000, { unit: "drops", step: 1, dropsPerMl: 20 });
    expect(notes.join()).toMatch(/Pyrrole red: 4000 drops; weighing/);
  });

  test("amounts as written", () => {
    expect(amountText(36.3, "grams", 0.1)).toBe("36.3"); // identity
    expect(amountText(7, "drops", 1)).toBe("7");
    expect(amountText(0.125, "ounces", 0.005)).toBe("0.125");
    expect(amountText(10, "millilitres", 1)).toBe("10.0");
  });

  test("what cannot be is refused", () => {
    const grams = { unit: "grams", step: 0.1 } as const;
    expect(() => pourOut(shelf, [1, 1], 10, grams)).toThrow(/3 values, but volumes has 2/);
    expect(() => pourOut(shelf, [1, 1, 1], 10, { unit: "grams", step: 0 })).toThrow(/step/);
    expect(() => pourOut(shelf, [1, 1, -1], 10, grams)).toThrow(/volume/);
    expect(() => pourOut([{ name: "air", density: 0 }], [1], 10, grams)).toThrow(/density of air.*g\/mL/);
  });
});

describe("cups and cans", () => {
  test.each([
    // identity: worked by hand
    [690, [250, 500, 1000], "1 × 500, 1 × 250"],
    [1200, [250, 500, 1000, 2500], "1 × 1000, 1 × 250"],
    [1000, [250, 500, 1000], "1 × 1000"],
    [990, [250, 500, 1000], "1 × 1000"],
    [40, [250, 500], "1 × 250"],
    [5100, [1000, 250], "5 × 1000, 1 × 250"],
    [0, [250], ""],
  ])("%d mL into %j: %s", (volume, sizes, text) => {
    const held = containersFor(volume, sizes);
    expect(held.map(({ size, count }) => `${count} × ${size}`).join(", ")).toBe(text);
  });

  test("they always hold it all, with less room left over than the smallest size", () => {
    // identity: rounding up
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 20_000, noNaN: true }),
        fc.array(fc.integer({ min: 5, max: 5000 }), { minLength: 1, maxLength: 6 }),
        (volume, sizes) => {
          const held = containersFor(volume, sizes).reduce((sum, { size, count }) => sum + size * count, 0);
          expect(held).toBeGreaterThanOrEqual(volume * (1 - 1e-9));
          expect(held - volume).toBeLessThan(Math.min(...sizes) + 1e-6);
        },
      ),
      { seed, numRuns: 500 },
    );
  });

  test("what cannot be is refused", () => {
    expect(() => containersFor(100, [])).toThrow(/sizes/);
    expect(() => containersFor(100, [0])).toThrow(/container size/);
    expect(() => containersFor(-1, [100])).toThrow(/volume/);
  });
});

describe("volatile organic compounds of a ready mix", () => {
  test("one litre of a water-borne mix", () => {
    // source: 40 CFR 59.104(a)(1): 1050 g with 735 g of volatiles, of which 650 g of water (0.6513 L): 85 g/L of material,
    // 243.76 g/L less water. Here the mix comes by its volume solids, so the solvent's density is what fills the litre:
    // volatiles of 651.3 mL of water and 85 g of solvent of 0.95 g/mL take 740.8 mL. Tolerance: printed digits.
    const solvent = 85 / 0.95;
    const volatile = 650 / 0.998 + solvent;
    const { material, lessWater } = readyMixVoc({
      mixVolume: 1000,
      thinnerVolume: 0,
      volumeSolids: 1 - volatile / 1000,
      waterShare: 650 / 735,
      thinnerWaterShare: 1,
      solventDensity: 0.95,
    });
    expect(material).toBeCloseTo(85, 9);
    expect(Math.abs(lessWater! - 243.76)).toBeLessThan(0.02);
  });

  test("without water both figures agree; water as thinner changes only the one per litre of material", () => {
    const solventborne = {
      mixVolume: 500,
      thinnerVolume: 0,
      volumeSolids: 0.3,
      waterShare: 0,
      thinnerWaterShare: 1,
      solventDensity: 0.88,
    };
    const plain = readyMixVoc(solventborne);
    expect(plain.material).toBeCloseTo(0.7 * 880, 9); // identity: 700 mL of solvent in a litre
    expect(plain.lessWater).toBeCloseTo(plain.material, 9);
    const thinned = readyMixVoc({ ...solventborne, thinnerVolume: 100 });
    expect(thinned.lessWater).toBeCloseTo(plain.lessWater!, 9); // identity: water does not count
    expect(thinned.material).toBeCloseTo((plain.material * 500) / 600, 9);
  });

  test("nothing but water has no figure less water", () => {
    const water = {
      mixVolume: 100,
      thinnerVolume: 0,
      volumeSolids: 0,
      waterShare: 1,
      thinnerWaterShare: 1,
      solventDensity: 1,
    };
    expect(readyMixVoc(water)).toEqual({ material: 0, lessWater: undefined });
  });
});
