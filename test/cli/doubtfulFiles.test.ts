import { expect, test } from "vitest";
import { flatFilm, flatSpectrum, run } from "./inMemory.ts";

const lab = ["lab", "dark.csv", "--observer", "1964-10", "--illuminant", "D65"];

// identity: a reading of 1.1 is 1.1 % where the person says so, and nobody else can know.
test("a doubtful scale is refused with exit 2 and the option that settles it", async () => {
  const files = { "dark.csv": flatSpectrum(1.1) };
  const asked = await run(lab, files);
  expect(asked.code).toBe(2);
  expect(asked.complaint).toContain("--scale percent");
  expect((await run([...lab, "--scale", "percent"], files)).code).toBe(0);
});

test("K and S beyond any paint are refused by film", async () => {
  const args = ["film", "--layer", "film.csv:10", "--ground", "0.8"];
  for (const [K, S] of [
    [1e300, 1],
    [101, 1],
    [1, 10.1],
  ]) {
    const { code, complaint } = await run(args, { "film.csv": flatFilm(K, S) });
    expect(code).toBe(2);
    expect(complaint).toContain("more than any paint has");
  }
  expect((await run(args, { "film.csv": flatFilm(100, 10) })).code).toBe(0);
});
