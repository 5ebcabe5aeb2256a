import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { cutAtTerms, type TextPiece } from "../../src/controls/termPieces.ts";
import { parseCsvTable } from "../../src/tables/csvTable.ts";
import { glossary, readGlossary } from "../../src/tables/glossary.ts";

describe("the glossary", () => {
  test("every meaning is a plain sentence, and no American spelling slips in", () => {
    expect(glossary.length).toBeGreaterThan(60);
    for (const { term, meaning } of glossary) {
      expect(meaning, term).toMatch(/^[A-ZΔ0-9].*\.$/);
      expect(`${term} ${meaning}`, term).not.toMatch(/\bcolor|\bgray|\bfiber\b/i);
    }
  });

  test("terms are in alphabetical order, so that the sheet can be read down", () => {
    const terms = glossary.map(({ term }) => term);
    const sorted = [...terms].sort((a, b) => a.localeCompare(b, "en", { sensitivity: "base" }));
    expect(terms).toEqual(sorted);
  });

  test.each([
    ["a,,\n", /row 2, field "meaning": is empty/],
    ["a,,x\na,,y\n", /row 3: "a" stands in row 2 already/],
    ["a,b,x\nb,,y\n", /row 3: "b" stands in row 2 already/],
  ])("a faulty table is refused: %j", (rows, message) => {
    expect(() => readGlossary(parseCsvTable(`term,also,meaning\n${rows}`, "words.csv"))).toThrow(message);
  });
});

describe("terms in a text", () => {
  const terms = [
    { term: "film", also: [], meaning: "A film." },
    { term: "dry film", also: ["dry films"], meaning: "A dry film." },
    { term: "C*", also: [], meaning: "Strength." },
    { term: "K", also: [], meaning: "Absorption." },
  ];
  const marked = (text: string) =>
    cutAtTerms(text, terms)
      .map((piece: TextPiece) => (typeof piece === "string" ? piece : `[${piece.word}]${piece.tail}`))
      .join("");

  test.each([
    ["the longest form wins", "A dry film is a film.", "A [dry film] is a [film]."],
    ["each term once", "film, film and Film", "[film], film and Film"],
    ["other forms count as the term", "Dry films, a dry film", "[Dry films], a dry film"],
    ["no part of another word", "films, filmy, microfilm", "films, filmy, microfilm"],
    ["with a star", "L* and C*, C*ab", "L* and [C*], C*ab"],
    ["single letters are left alone", "K and S", "K and S"],
    ["nothing to explain", "Nothing.", "Nothing."],
    ["empty", "", ""],
    ["punctuation stays with its word", "The film, the C*? Yes.", "The [film], the [C*]? Yes."],
  ])("%s", (_, text, expected) => expect(marked(text)).toBe(expected));

  test("no text is lost or changed", () => {
    for (const kind of registry.values()) {
      const pieces = cutAtTerms(kind.about, glossary);
      expect(
        pieces.map((piece) => (typeof piece === "string" ? piece : piece.word + piece.tail)).join(""),
      ).toBe(kind.about);
    }
  });
});

describe("every kind of cell explains itself", () => {
  test.each([...registry.values()].map((kind) => [kind.kind, kind] as const))("%s", (_, kind) => {
    expect(kind.about.match(/[.!?](\s|$)/g)?.length, "two sentences").toBeGreaterThanOrEqual(2);
    expect(kind.label).not.toBe("");
  });
});
