import { describe, expect, test } from "vitest";
import { cautionsFor, type JobUse } from "../../src/job/cautions.ts";
import { cautions, readCautions } from "../../src/tables/cautions.ts";

const nothing: JobUse = {
  spraying: false,
  isocyanate: false,
  solvent: false,
  vehicle: false,
  children: false,
};
const shown = (use: Partial<JobUse>) => cautionsFor({ ...nothing, ...use }, cautions);
const text = (use: Partial<JobUse>) =>
  shown(use)
    .map((caution) => `${caution.text} ${caution.pointer}`)
    .join("\n");

describe("cautions by what is used", () => {
  test("every job is told first that label, data sheet, codes and licensed practice come first", () => {
    const [first] = shown({});
    for (const words of [first.short, first.text])
      expect(words).toMatch(/label.*safety data sheet.*local codes.*licensed practice.*first/i);
  });

  test.each<[string, Partial<JobUse>, RegExp]>([
    // source: Commission Regulation (EU) 2020/1149: training from 0.1 % by weight of free diisocyanate, every 5 years
    ["a diisocyanate cross-linker", { isocyanate: true }, /training.*0\.1 % by weight.*5 years.*2020\/1149/],
    // source: OSHA letter of 13 June 1996; 29 CFR 1910.134; Liu et al. 2006: poor warning properties, supplied air
    [
      "isocyanate in the spray",
      { isocyanate: true, spraying: true },
      /warning properties.*Supplied-air.*1910\.134/i,
    ],
    // source: 40 CFR 63.11180 (from memory): at most 10 psig at the cap
    ["spraying", { spraying: true }, /0\.7 bar \(10 psig\).*63\.11180/],
    // source: 29 CFR 1910.107 and 1910.94(c); NFPA 33; OSHA Instruction STD 01-05-010
    ["solvent in the spray", { solvent: true, spraying: true }, /1910\.107 and 1910\.94\(c\).*NFPA 33/],
    // source: 40 CFR 59 subpart B; EU Directive 2004/42/EC
    ["solvent", { solvent: true }, /40 CFR 59 subpart B.*2004\/42\/EC/],
    // source: NHTSA Chief Counsel interpretation on outer skins of air bag modules; FMVSS 208
    ["air bags", { vehicle: true }, /Do not coat air-bag covers.*FMVSS 208 \(49 CFR 571\.208\)/],
    // source: vehicle owner manuals; FMVSS 209, UN R16
    ["belts", { vehicle: true }, /Do not coat, dye or bleach belts.*FMVSS 209/],
    // source: 49 CFR 571.302: at most 102 mm/min within 13 mm of the occupant air space; composite test
    ["burning of vehicle interiors", { vehicle: true }, /13 mm.*102 mm\/min.*571\.302.*ISO 3795/],
    // source: 40 CFR 63 subpart HHHHHH
    ["spraying vehicles", { vehicle: true, spraying: true }, /trained painters.*40 CFR 63 subpart HHHHHH/],
    // from memory: EN 71-3, ASTM F963, 16 CFR 1303
    ["children", { children: true }, /fit for toys.*EN 71-3; ASTM F963; 16 CFR 1303/],
  ])("%s", (_, use, message) => expect(text(use)).toMatch(message));

  test("what is not used is not warned of", () => {
    expect(text({ spraying: true })).not.toMatch(/isocyanate|air-bag|solvent-borne|toys/i);
    expect(text({ isocyanate: true })).not.toMatch(/poor warning properties/); // wiped on, not sprayed
    expect(text({ vehicle: true })).not.toMatch(/toys/);
    expect(text({ solvent: true })).not.toMatch(/1910\.107/);
  });

  test("each has a line for the job sheet, a text, and a rule or source to point to; ids are unique", () => {
    for (const caution of cautions) {
      expect(caution.short.length).toBeGreaterThan(10);
      expect(caution.short.length).toBeLessThanOrEqual(110);
      expect(caution.text.length).toBeGreaterThanOrEqual(caution.short.length * 0.7);
      expect(caution.pointer).not.toBe("");
    }
    expect(new Set(cautions.map(({ id }) => id)).size).toBe(cautions.length);
  });
});

test("a table with an unknown trigger is refused with its place", () => {
  const csv = "id,when,short,text,pointer\na,always,s,t,p\nb,full moon,s,t,p\n";
  expect(() => readCautions(csv, "c.csv")).toThrow(
    /c\.csv, row 3, field "when": "full moon" is unknown.*always/,
  );
});
