import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { spreadLabels } from "../../src/charts/labels.ts";

describe("spreadLabels", () => {
  test("labels that do not touch stay where they are", () => {
    expect(spreadLabels([100, 10, 50], 20, 0, 200)).toEqual([100, 10, 50]);
  });

  test("two labels at one place move apart by half a gap each", () => {
    // identity: least squares of two equal wishes is symmetric about them
    expect(spreadLabels([50, 50], 20, 0, 200)).toEqual([40, 60]);
  });

  test("the limits hold, and the gap shrinks when there is no room for it", () => {
    expect(spreadLabels([0, 0, 0], 20, 0, 30)).toEqual([0, 15, 30]);
  });

  test("for any wishes: order kept, gaps kept, limits kept", () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -50, max: 350, noNaN: true }), { maxLength: 9 }), (wanted) => {
        const places = spreadLabels(wanted, 20, 0, 300);
        const order = wanted.map((_, i) => i).sort((i, j) => wanted[i] - wanted[j] || i - j);
        order.forEach((label, rank) => {
          expect(places[label]).toBeGreaterThanOrEqual(-1e-9);
          expect(places[label]).toBeLessThanOrEqual(300 + 1e-9);
          if (rank > 0) expect(places[label] - places[order[rank - 1]]).toBeGreaterThanOrEqual(20 - 1e-9);
        });
      }),
      { seed: 20, numRuns: 200 },
    );
  });

  test("no other places are closer to the wishes", () => {
    // independent slow method: random places that keep order and gaps never have a smaller sum of squared moves
    const wanted = [40, 42, 47, 90, 92];
    const cost = (places: number[]) => places.reduce((sum, place, i) => sum + (place - wanted[i]) ** 2, 0);
    const found = cost(spreadLabels(wanted, 20, 0, 200));
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 100, noNaN: true }),
        fc.array(fc.double({ min: 20, max: 45, noNaN: true }), { minLength: 4, maxLength: 4 }),
        (first, gaps) => {
          const places = [first];
          for (const gap of gaps) places.push(places[places.length - 1] + gap);
          expect(cost(places)).toBeGreaterThanOrEqual(found - 1e-9);
        },
      ),
      { seed: 21, numRuns: 500 },
    );
  });
});
