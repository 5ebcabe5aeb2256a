import { describe, expect, test } from "vitest";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";

const text = `# Invented for this test
# Units: none
name,amount,note
"red, deep",1.5,"says ""hello"""

blue,-2e-3,
`;

describe("parseCsvTable", () => {
  test("reads comments, header, quoted and empty fields", () => {
    const table = parseCsvTable(text, "bench.csv");
    expect(table.comments).toEqual(["Invented for this test", "Units: none"]);
    expect(table.columns).toEqual(["name", "amount", "note"]);
    expect(table.rows.map((row) => [row.line, row.text("name"), row.number("amount")])).toEqual([
      [4, "red, deep", 1.5],
      [6, "blue", -0.002],
    ]);
    expect(table.rows[0].text("note")).toBe('says "hello"');
    expect(table.rows[1].optionalText("note")).toBe("");
    expect(table.rows[1].optionalNumber("note")).toBeUndefined();
    expect(numberColumn(table, "amount")).toEqual(Float64Array.of(1.5, -0.002));
  });

  test("a line end of another system makes no difference", () => {
    expect(parseCsvTable(text.replaceAll("\n", "\r\n"), "x").rows.length).toBe(2);
  });

  test.each([
    ["a row that is too short", "a,b\n1", /bench\.csv, row 2: 1 fields, but the header has 2/],
    ["a row that is too long", "a,b\n1,2\n1,2,3", /bench\.csv, row 3: 3 fields/],
    ["a field named twice", "a,a\n1,2", /row 1: field "a" appears twice/],
    ["nothing at all", "", /no header row/],
    ["a header alone", "# c\na,b\n", /no rows/],
    ["a stray quotation mark", 'a,b\n1,2"3', /row 2, field 2: a quotation mark/],
    ["a quotation without an end", 'a,b\n"1,2', /row 2, field 1: a quotation mark/],
  ])("refuses %s", (_, content, message) => {
    expect(() => parseCsvTable(content, "bench.csv")).toThrow(message);
  });

  test("names file, row and field of what cannot be read", () => {
    const [first, second] = parseCsvTable(text, "bench.csv").rows;
    expect(() => first.number("name")).toThrow('bench.csv, row 4, field "name": "red, deep" is not a number');
    expect(() => second.number("note")).toThrow('bench.csv, row 6, field "note": is empty');
    expect(() => second.text("note")).toThrow("is empty");
    expect(() => first.text("colour")).toThrow('field "colour": no such field; known: name, amount, note');
  });
});
