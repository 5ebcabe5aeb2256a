import { describe, expect, test } from "vitest";
import { worksheetFile, worksheetPage } from "../../src/paper/calibrationWorksheet.ts";

describe("the worksheet", () => {
  test("a name with signs of markup stays text", () => {
    const text = worksheetFile('<script>alert("x")</script>');
    expect(text).not.toContain("<script");
    expect(text).toContain("&lt;script&gt;");
  });

  test("names what to draw down: masstone and three let-downs, thin and thick", () => {
    const { html } = worksheetPage("Rose");
    for (const film of ["masstone", "let-down 1:2", "let-down 1:10", "let-down 1:40"]) {
      for (const build of ["thin", "thick"]) expect(html).toContain(`${film}, ${build}`);
    }
    expect(html).toContain("safety data sheet");
  });
});
