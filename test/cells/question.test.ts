import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type AskedQuestion, judge, question } from "../../cells/question/define.ts";
import { fillText, quantityChange, quantityNamed, quantityText } from "../../src/graph/askedQuantity.ts";
import type { ComputeContext } from "../../src/graph/defineCell.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { initialParameters, type ParameterValues } from "../../src/graph/parameters.ts";
import type { Offered, Quantity } from "../../src/graph/quantity.ts";

const number = (name: string, value: number | undefined, unit = "", digits = 1): Quantity => ({
  name,
  label: `label of ${name}`,
  unit,
  value,
  digits,
  none: value === undefined ? "never" : undefined,
});
const film: Offered = {
  cell: "film",
  title: "Film",
  quantities: [
    number("back", 12.34, "%"),
    number("coats", undefined, "coats", 0),
    number("hue", 350, "°"),
    number("depth", -4, "µm"),
  ],
  settings: [
    {
      name: "ratio",
      value: 0.25,
      spec: { type: "number", label: "Ratio", min: 0, max: 1, step: 0.05, initial: 0 },
    },
  ],
};
const other: Offered = {
  cell: "other",
  title: "Other",
  quantities: [number("back", 40, "%"), number("hue", 10, "°"), number("depth", 3, "µm")],
  settings: [],
};

const notes: string[] = [];
const context = { note: (text: string) => notes.push(text) } as unknown as ComputeContext;
type Parameters = ParameterValues<typeof question.parameters>;
const ask = (parameters: Partial<Parameters>, about = [film], moves: Offered | undefined = undefined) =>
  question.compute(
    { about, moves },
    { ...(initialParameters(question.parameters) as Parameters), ...parameters },
    context,
  ) as AskedQuestion;

const ranges = [
  { label: "little", to: 10 },
  { label: "some", from: 10, to: 20 },
  { label: "much", from: 20 },
  { label: "never", none: true },
];

describe("the answer is computed", () => {
  test("a number is the linked cell's own", () => {
    expect(ask({ ask: "number", quantity: "back" }).answer.value).toBe(12.34); // identity: what was offered
  });

  test("nothing chosen asks for the first number", () => {
    expect(ask({}).answer.name).toBe("back");
  });

  test.each([
    ["back", "some"],
    ["coats", "never"],
    ["depth", "little"],
  ])("%s lies in the range %s", (quantity, label) => {
    const { choices, right } = ask({ ask: "range", quantity, answers: ranges });
    expect(choices[right as number].label).toBe(label);
  });

  test("a range holds its lower end and not its upper one", () => {
    const at = (value: number) =>
      ask({ ask: "range", answers: ranges }, [{ ...film, quantities: [number("x", value)] }]).right;
    expect([9.999, 10, 19.999, 20].map(at)).toEqual([0, 1, 1, 2]);
  });

  test("when no range fits, it is said and nothing is right", () => {
    notes.length = 0;
    expect(ask({ ask: "range", quantity: "back", answers: [ranges[0], ranges[2]] }).right).toBeUndefined();
    expect(notes.join()).toContain("None of the answers fits");
  });

  test("least and greatest among the numbers of several cells", () => {
    const answers = [
      { label: "film", quantity: "film:back" },
      { label: "other", quantity: "other:back" },
    ];
    expect(ask({ ask: "least", answers }, [film, other]).right).toBe(0);
    expect(ask({ ask: "greatest", answers }, [film, other]).right).toBe(1);
    expect(ask({ ask: "least", answers }, [film, other]).choices.map(({ shown }) => shown)).toEqual([
      "12.3\u00a0%",
      "40.0\u00a0%",
    ]);
  });

  test("counted from another number, the size of a change decides, not its sign", () => {
    const zero: Offered = { ...other, quantities: [number("zero", 0)] };
    const answers = [
      { label: "down", quantity: "film:depth" },
      { label: "up", quantity: "other:depth" },
    ];
    const parameters = { ask: "greatest", against: "zero", answers } as const;
    expect(ask(parameters, [film, other, { ...zero, cell: "zero" }]).right).toBe(0); // identity: |−4| > |3|
  });

  test("numbers that do not exist are never least", () => {
    const answers = [
      { label: "coats", quantity: "coats" },
      { label: "back", quantity: "back" },
    ];
    expect(ask({ ask: "least", answers }).right).toBe(1);
  });

  test("texts are filled with computed numbers and settings", () => {
    const { text, after } = ask({ text: "At {ratio}: {back}?", after: "{coats}, {other:hue - film:hue}" }, [
      film,
      other,
    ]);
    expect(text).toBe("At 0.25: 12.3\u00a0%?");
    expect(after).toBe("never, 20.0°"); // identity: from 350° to 10° is 20°
  });
});

describe("what cannot be asked is refused with a way out", () => {
  test.each([
    [{ quantity: "front" }, /no number called "front"/, "quantity"],
    [{ text: "{front}" }, /no number called "front"/, "text"],
    [{ after: "{back - front}" }, /no number called "front"/, "after"],
    [{ against: "front" }, /no number called "front"/, "against"],
    [{ watch: "front" }, /no number called "front"/, "watch"],
    [{ ask: "range", answers: [] }, /no answers/, "answers"],
    [{ ask: "least", answers: [{ label: "a" }, { label: "b" }] }, /no number called ""/, "answers"],
    [{ guessFrom: 5, guessTo: 5 }, /nothing to choose/, "guessTo"],
    [{ moved: "width" }, /no number called "width" to move/, "moved"],
  ] as [Partial<Parameters>, RegExp, string][])("%j", (parameters, message, field) => {
    try {
      ask(parameters);
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(InputError);
      expect((error as InputError).message).toMatch(message);
      expect((error as InputError).field).toBe(field);
      expect((error as InputError).wayOut).toBeTruthy();
    }
  });

  test("a cell with no numbers cannot be asked about", () => {
    expect(() => ask({}, [{ ...film, quantities: [], settings: [] }])).toThrow(/no numbers/);
  });
});

describe("the parameter to move", () => {
  test("is of the cell linked for it, or of the one asked about", () => {
    expect(ask({}, [other], film).moves).toMatchObject({ cell: "film", name: "ratio", value: 0.25 });
    expect(ask({ moved: "ratio" }).moves).toMatchObject({ cell: "film", name: "ratio" });
    expect(ask({}).moves).toBeUndefined();
  });
});

describe("the verdict", () => {
  const share = number("share", 50, "%", 0);
  const choosing = { choices: [{}, {}] as never[], tolerance: 0, answer: share };
  const counting = { choices: [], tolerance: 5, answer: share };
  const coats = { choices: [], tolerance: 0, answer: number("coats", 3, "coats", 0) };
  const difference = {
    choices: [],
    tolerance: 0.5,
    answer: { ...number("d", 2, "", 1), label: "ΔE00 of the part" },
  };
  test.each([
    ["the right choice", choosing, 1, 1, "right"],
    ["the other choice", choosing, 0, 1, "wrong"],
    ["no choice", choosing, null, 1, "unguessed"],
    ["within the tolerance", counting, 45, 50, "right"],
    // source: arithmetic: a fifth of 50 is 10
    ["within a fifth of the answer", counting, 60, 50, "near"],
    ["further off", counting, 60.1, 50, "wrong"],
    ["a fifth below nothing is as far", counting, -60, -50, "near"],
    ["one coat off", coats, 4, 3, "near"],
    ["two coats off", coats, 5, 3, "wrong"],
    // common practice: a colour difference of 1 is just noticed
    ["one just noticeable difference off", difference, 3, 2, "near"],
    ["more than that", difference, 3.1, 2, "wrong"],
    ["a tolerance wider than a fifth stays right", { ...counting, tolerance: 15 }, 64, 50, "right"],
    ["a number where there is none", counting, 4, null, "wrong"],
  ] as const)("%s", (_, asked, prediction, seen, verdict) => {
    expect(judge(asked, prediction, seen)).toBe(verdict);
  });
});

describe("numbers in words", () => {
  test.each([
    [number("x", 1, "coats", 0), "1\u00a0coat"],
    [number("x", 2, "coats", 0), "2\u00a0coats"],
    [number("x", undefined, "coats", 0), "never"],
    [number("x", -0.04, "°", 1), "0.0°"],
    [number("x", -1.26, "", 1), "−1.3"],
    [number("x", 20, "µm", 1), "20.0\u00a0µm"],
  ])("%j", (quantity, text) => expect(quantityText(quantity)).toBe(text));

  test("a turn of hue never takes the long way", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.double({ min: 0, max: 360, noNaN: true }),
        (a, b) => {
          const named = (value: number) => ({ ...number("hue", value, "°"), reference: "hue" });
          const change = quantityChange(named(a), named(b)).value as number;
          expect(change).toBeGreaterThanOrEqual(-180);
          expect(change).toBeLessThanOrEqual(180);
          // identity: going the way from b leads to a
          expect(Math.cos(((b + change - a) * Math.PI) / 180)).toBeCloseTo(1, 9);
        },
      ),
    );
  });

  test("text of any kind is filled or refused, never left with a place", () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 200 }), (text) => {
        try {
          expect(fillText(text, [film], "text")).not.toMatch(/\{[^{}]*\}/);
        } catch (error) {
          expect(error).toBeInstanceOf(InputError);
        }
      }),
      { numRuns: 1000 },
    );
  });

  test("a name with its cell is understood, whether one cell is linked or more", () => {
    expect(quantityNamed([film], "film:back", "x").value).toBe(12.34);
    expect(quantityNamed([film, other], "other:back", "x").value).toBe(40);
    expect(quantityNamed([film], "back", "x", [other]).value).toBe(12.34);
    expect(quantityNamed([film], "other:back", "x", [other]).value).toBe(40);
  });
});
