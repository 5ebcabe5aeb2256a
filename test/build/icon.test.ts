import { readFileSync } from "node:fs";
import { inflateSync } from "node:zlib";
import { expect, test } from "vitest";
import { drawingOf, iconOf } from "../../src/build/icon.ts";

const mark = readFileSync("src/shell/mark.svg", "utf8");

/** Colour of a pixel of an icon. source: ISO/IEC 15948 (PNG), clauses 5 and 11, for files without filters */
function pixelsOf(png: Uint8Array) {
  const bytes = Buffer.from(png);
  const size = bytes.readUInt32BE(16);
  const at = bytes.indexOf("IDAT");
  const rows = inflateSync(bytes.subarray(at + 4, at + 4 + bytes.readUInt32BE(at - 4)));
  expect(rows).toHaveLength(size * (1 + 3 * size));
  return (x: number, y: number) =>
    rows.subarray(y * (1 + 3 * size) + 1 + 3 * x, y * (1 + 3 * size) + 4 + 3 * x).toString("hex");
}

// identity: the colours that stand in the drawing, at places that lie within its blocks
test("the icon is the mark: colour over clay over a dark part", () => {
  const pixel = pixelsOf(iconOf(drawingOf(mark), 64));
  const column = [1, 20, 30, 50, 62].map((y) => pixel(32, y));
  expect(column).toEqual(["777777", "b3261e", "e8dcc6", "1d1d1d", "777777"]);
  expect([pixel(7, 20), pixel(8, 20), pixel(55, 20), pixel(56, 20)]).toEqual([
    "777777",
    "b3261e",
    "b3261e",
    "777777",
  ]);
});

// source: W3C Web Application Manifest, 1.11.2 (safe zone: a circle of 40 % of the width around the middle)
test("the icon that is cut to a circle keeps the whole mark", () => {
  const size = 200;
  const pixel = pixelsOf(iconOf(drawingOf(mark), size, 0.72));
  let drawn = 0;
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      if (pixel(x, y) === "777777") continue;
      drawn++;
      expect(Math.hypot(x - 99.5, y - 99.5)).toBeLessThan(0.4 * size);
    }
  }
  // identity: 24 of 32 of 0.72 of the width, squared
  expect(drawn / size ** 2).toBeCloseTo((0.75 * 0.72) ** 2, 2);
});

test("a drawing of anything else is refused", () => {
  expect(() => drawingOf(mark.replace("<path", '<circle r="1"/><path'))).toThrow("one square and rectangles");
});
