import { describe, expect, test } from "vitest";
import { weightsFor } from "../../src/tables/weights.ts";
import { offeredColours, offeredSpectra } from "./offered.ts";

const nm = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const conditions = { illuminant: "D65", observer: "1964-10", weights: weightsFor("1964-10", "D65") };

describe("readings from text", () => {
  test.each([
    ["36 fractions", nm.map(() => "0.25").join(" "), 1, "380 to 730 nm by 10 nm"],
    ["31 per cent, tabs", Array(31).fill("25.0").join("\t"), 1, "per cent"],
    ["36 with decimal commas", Array(36).fill("0,25").join("; "), 1, "fractions"],
    ["three rows with commas", Array(3).fill(Array(36).fill("0.25").join(",")).join("\n"), 3, "380 to 730"],
    ["39 from 360 to 740", Array(39).fill("0.25").join(" "), 1, "360 to 740 nm"],
    [
      "a table with wavelengths",
      `sample,${nm}\nred,${nm.map(() => 0.25)}\nblue,${nm.map(() => 0.25)}`,
      2,
      "commas",
    ],
  ])("%s", (_, text, count, note) => {
    const { readings, notes } = offeredSpectra(text, "pasted");
    expect(readings).toHaveLength(count);
    for (const { curve } of readings) for (const value of curve!) expect(value).toBeCloseTo(0.25, 12);
    expect(notes.join("; ")).toContain(note);
  });

  test.each([
    ["nothing of use", "hello", /./],
    ["values that cannot be", nm.map(() => "-0.5").join(" "), /allowed/],
    ["colours where spectra are wanted", "name,L*,a*,b*\nred,40,50,20", /no spectra; choose “colours only”/],
  ])("spectra: %s is refused in words", (_, text, words) => {
    expect(() => offeredSpectra(text, "pasted")).toThrow(words);
  });

  test.each([
    ["by the line", "43.2 51.0 28.5\n43.4, 51.2, 28.1", 2],
    ["with a name and conditions", "seat: 43.2 51 28.5 (D65/10°, specular excluded)", 1],
    ["a table", "name,L* (D65/10),a* (D65/10),b* (D65/10)\nred,43.2,51,28.5", 1],
  ])("colours %s", (_, text, count) => {
    const { readings } = offeredColours(text, "pasted", conditions);
    expect(readings).toHaveLength(count);
    expect(readings[0].Lab).toEqual([43.2, 51, 28.5]);
  });

  test("XYZ becomes Lab under the stated light", () => {
    const [X, Y, Z] = conditions.weights.white;
    const { readings } = offeredColours(`name,X,Y,Z\nwhite,${X},${Y},${Z}`, "pasted", conditions);
    // identity: the white of the light is L* 100, a* 0, b* 0
    readings[0].Lab!.forEach((value, k) => expect(value).toBeCloseTo(k === 0 ? 100 : 0, 2));
  });

  test.each([
    ["another light", "43.2 51 28.5 (A/10°)", /stated for A/],
    ["another observer", "43.2 51 28.5 (D65/2°)", /2° observer/],
    ["a spectrum", `sample,${nm}\nred,${nm.map(() => 0.25)}`, /is a spectrum; choose “spectra”/],
    ["no number", "red 51 28", /three numbers|columns/],
  ])("colours: %s is refused in words", (_, text, words) => {
    expect(() => offeredColours(text, "pasted", conditions)).toThrow(words);
  });
});
