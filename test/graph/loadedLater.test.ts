import { describe, expect, test } from "vitest";
import { loadAfter, loadedLater } from "../../src/graph/loadedLater.ts";

describe("loadedLater", () => {
  test("loads once, answers later the first time and at once from then on", async () => {
    let loads = 0;
    const double = loadedLater(async () => {
      loads++;
      return (value: number) => 2 * value;
    });
    expect(loads).toBe(0);
    const first = double(4);
    expect(first).toBeInstanceOf(Promise);
    expect(await first).toBe(8);
    expect(double(5)).toBe(10);
    expect(loads).toBe(1);
  });

  test("what the code throws, and a failed load, come through; a later call tries again", async () => {
    let works = false;
    const picky = loadedLater(async () => {
      if (!works) throw new Error("not reachable");
      return (value: number) => {
        if (value < 0) throw new RangeError("below 0");
        return value;
      };
    });
    await expect(Promise.resolve(picky(1))).rejects.toThrow("not reachable");
    works = true;
    expect(await picky(1)).toBe(1);
    expect(() => picky(-1)).toThrow("below 0");
  });

  test("nothing is loaded before what must come first", async () => {
    let goOn = () => {};
    loadAfter(new Promise((resolve) => (goOn = resolve)));
    let loads = 0;
    const late = loadedLater(async () => () => ++loads);
    const answer = late();
    await new Promise((resolve) => setTimeout(resolve, 5));
    expect(loads).toBe(0);
    goOn();
    expect(await answer).toBe(1);
    loadAfter(Promise.resolve());
  });
});
