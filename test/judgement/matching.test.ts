import { describe, expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { learnScale, sharpnessOf } from "../../src/judgement/eyeScale.ts";
import { cases } from "../howMuch.ts";
import { byHabit } from "./habit.ts";
import { match } from "./matching.ts";
import { pairOf, quantile, scene, shareOf } from "./shelfScene.ts";
import { type Observer, observer, type Random, randomWords } from "./simulatedObserver.ts";

// from memory: scatter, noise and bias of observers, word boundaries and the spread of poured panels
const drawn = (count: number) => Array.from({ length: cases(count) }, (_, seed) => seededRandom(seed));

const learned = (eye: Observer, random: Random) =>
  learnScale(
    Array.from({ length: 10 }, () => {
      const { reference, panel } = pairOf(random);
      return { reference, panel, judgement: eye.judge(reference, panel) };
    }),
  );

describe("observers of ordinary sharpness", () => {
  const rounds = drawn(300).map((random) => match(scene(random), observer(random), random, 6));
  const of = (panels: number, what: "mean" | "panel", share: number) =>
    quantile(
      rounds.map((round) => round[panels - 1][what]),
      share,
    );

  test.each([
    [3, 1.2, 2.5],
    [5, 0.9, 1.8],
  ])(
    "after %i panels the mean lies within ΔE00 %d in the median, %d for nine of ten",
    (panels, half, nine) => {
      expect(of(panels, "mean", 0.5)).toBeLessThan(half);
      expect(of(panels, "mean", 0.9)).toBeLessThan(nine);
    },
  );

  test("the region that is said to hold 90 % holds in 85 to 95 %", () => {
    const held = shareOf(rounds.flatMap((round) => [2, 3, 4].map((k) => round[k].holds)));
    expect(held).toBeGreaterThanOrEqual(0.85);
    expect(held).toBeLessThanOrEqual(0.95);
  });

  test("they are taken for people who press at random in at most 5 %", () => {
    expect(shareOf(rounds.map((round) => round.some(({ cloud }) => cloud.random)))).toBeLessThanOrEqual(0.05);
  });

  // The panel poured after three (five) judgements is the fourth (sixth).
  const habit = drawn(300).map((random) => byHabit(scene(random), observer(random), random, 14));

  test.each([4, 6])("panel %i is nearer than any of two and a half times as many by habit", (panels) => {
    const fewer = [...Array(Math.ceil(2.5 * panels) - 1).keys()];
    for (const share of [0.5, 0.9]) {
      const nearest = fewer.map((k) =>
        quantile(
          habit.map((differences) => differences[k]),
          share,
        ),
      );
      expect(Math.min(...nearest)).toBeGreaterThan(of(panels, "panel", share));
    }
  });
});

describe("observers twice as coarse, after ten judged and measured panels", () => {
  const all = drawn(100).map((random) => {
    const eye = observer(random, 2);
    const scale = learned(eye, random);
    return { scale, rounds: match(scene(random), eye, random, 5, scale) };
  });
  const ordinaryScales = drawn(100).map((random) => learned(observer(random), random));

  test("at least 80 % are recognised, and few ordinary ones are taken for them", () => {
    const coarse = (scale: ReturnType<typeof learnScale>) =>
      sharpnessOf(scale).verdict === "coarser than most";
    expect(shareOf(all.map(({ scale }) => coarse(scale)))).toBeGreaterThanOrEqual(0.8);
    expect(shareOf(ordinaryScales.map(coarse))).toBeLessThanOrEqual(0.1);
  });

  test("their regions hold in 85 to 95 %", () => {
    const held = shareOf(all.flatMap(({ rounds }) => rounds.map((round) => round.holds)));
    expect(held).toBeGreaterThanOrEqual(0.85);
    expect(held).toBeLessThanOrEqual(0.95);
  });
});

describe("words pressed at random", () => {
  const rounds = drawn(300).map((random) => match(scene(random), randomWords(random), random, 5));

  test("are named within four panels in at least 80 %", () => {
    const named = rounds.map((round) => round.slice(0, 4).some(({ cloud }) => cloud.random));
    expect(shareOf(named)).toBeGreaterThanOrEqual(0.8);
  });

  test("leave a region that holds the truth in at least 85 % by then", () => {
    for (const panels of [4, 5]) {
      expect(shareOf(rounds.map((round) => round[panels - 1].holds))).toBeGreaterThanOrEqual(0.85);
    }
  });
});
