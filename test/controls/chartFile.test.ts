import { describe, expect, test } from "vitest";
import { csvText, fileNameOf } from "../../src/controls/chartFile.ts";

describe("a chart's numbers as text", () => {
  test("quoted where needed, empty where there is nothing, lines ended as the standard says", () => {
    // source: RFC 4180 section 2
    expect(
      csvText({
        columns: ['share of "cream", %', "ΔE00"],
        rows: [
          [0.5, 1.25],
          ["a\nb", Number.NaN],
          [undefined, -1e-7],
        ],
      }),
    ).toBe('"share of ""cream"", %",ΔE00\r\n0.5,1.25\r\n"a\nb",\r\n,-1e-7\r\n');
  });

  test("a file name holds plain letters only", () => {
    expect(fileNameOf("ΔE00 of the worst part: 50 % / café")).toBe("delta-e00-of-the-worst-part-50-cafe");
    expect(fileNameOf("../..")).toBe("chart");
    expect(fileNameOf("x".repeat(200)).length).toBe(60);
  });
});
