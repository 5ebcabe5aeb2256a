import { expect, test } from "vitest";
import { ways } from "../../src/recipes/pruning.ts";
import { countSubsets, subsetsOfSize } from "../../src/recipes/subsets.ts";

const all = [...Array(13).keys()];

test("thirteen pastes, up to four: 1092 choices, none twice", () => {
  const rule = { candidates: all, required: [], maxPastes: 4 };
  expect(countSubsets(rule)).toBe(1092); // identity: C(13,1) + C(13,2) + C(13,3) + C(13,4)
  const seen = new Set<string>();
  for (const size of [1, 2, 3, 4]) {
    const packed = subsetsOfSize(rule, size);
    expect(packed.length / size).toBe(ways(13, size)); // identity: binomial coefficient
    for (let at = 0; at < packed.length; at += size) seen.add(packed.slice(at, at + size).join());
  }
  expect(seen.size).toBe(1092);
});

test("required pastes are in every choice", () => {
  const rule = { candidates: all, required: [5, 2], maxPastes: 4 };
  expect(subsetsOfSize(rule, 1)).toHaveLength(0);
  expect([...subsetsOfSize(rule, 2)]).toEqual([2, 5]);
  const packed = subsetsOfSize(rule, 4);
  expect(packed.length / 4).toBe(ways(11, 2));
  for (let at = 0; at < packed.length; at += 4) {
    const subset = [...packed.subarray(at, at + 4)];
    expect(subset).toContain(2);
    expect(subset).toContain(5);
    expect(subset).toEqual([...subset].sort((p, q) => p - q));
  }
  expect(countSubsets(rule)).toBe(1 + ways(11, 1) + ways(11, 2));
});
