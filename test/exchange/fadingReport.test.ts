import { describe, expect, test } from "vitest";
import { fadingReport } from "../../src/exchange/fadingReport.ts";

describe("fadingReport", () => {
  // source: ISO 105-A05:1996 (formula from memory), worked out for three pairs of reds
  test.each([
    [[40, 45, 25], [44, 38, 22], 8.6023, 5.6724, 2.262, "2-3"],
    [[38, 48, 27], [38.8, 46.9, 26.2], 1.578, 1.0188, 4.401, "4-5"],
    [[30, 30, 10], [37, 24, 9], 9.2736, 8.3848, 1.698, "1-2"],
  ])("%j faded to %j", (reference, faded, deltaEab, deltaEF, rating, grade) => {
    const report = fadingReport(reference, faded);
    expect(report.deltaEab).toBeCloseTo(deltaEab, 4);
    expect(report.deltaEF).toBeCloseTo(deltaEF, 4);
    expect(report.rating).toBeCloseTo(rating, 3);
    expect(report.grade).toBe(grade);
    expect(report.words.text).toContain("lighter");
    expect(report.words.text).toContain("duller");
  });

  test("nothing faded: grade 5", () => {
    const report = fadingReport([40, 45, 25], [40, 45, 25]);
    expect([report.deltaE2000, report.rating, report.grade]).toEqual([0, 5, "5"]);
    expect(report.words.text).toBe("no visible difference");
  });

  test("a reference read at one kind of spot only is not vouched for", () => {
    expect(fadingReport([40, 45, 25], [44, 38, 22]).reference).toBe("not checked");
    const half = fadingReport([40, 45, 25], [44, 38, 22], { hidden: [[40, 45, 25]], exposed: [] });
    expect(half.reference).toBe("not checked");
    expect(half.cautions.join()).toContain("covered");
  });

  test("hidden and exposed spots that agree within their scatter: the reference looks unfaded", () => {
    const hidden = [
      [40, 45, 25],
      [40.3, 45.2, 25],
    ];
    const exposed = [
      [40.2, 45.1, 25],
      [40.1, 44.9, 25.1],
    ];
    const report = fadingReport([40, 45, 25], [44, 38, 22], { hidden, exposed });
    expect(report.reference).toBe("looks unfaded");
    expect(report.cautions).toEqual([]);
  });

  test("an exposed spot lighter and duller than the hidden one: caution", () => {
    const report = fadingReport([41, 43, 24], [44, 38, 22], {
      hidden: [[40, 45, 25]],
      exposed: [[41.5, 42, 23.5]],
    });
    expect(report.reference).toBe("may have faded");
    expect(report.cautions.join()).toContain("lighter");
  });

  test("impossible colours are refused", () => {
    expect(() => fadingReport([40, 45, Number.NaN], [44, 38, 22])).toThrow(RangeError);
  });
});
