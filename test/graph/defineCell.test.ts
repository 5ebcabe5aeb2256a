import { expect, test } from "vitest";
import { type CellKind, cellDefiner } from "../../src/graph/defineCell.ts";
import type { Offered } from "../../src/graph/quantity.ts";

const defineCell = cellDefiner<{ any: Offered; number: number; text: string }>();
const plain = { kind: "plain", label: "Plain", about: "", parameters: {} } as const;

test("compute receives what its ports say, and the whole is a kind for the graph", () => {
  const kind = defineCell({
    ...plain,
    inputs: {
      one: { type: "number", label: "One" },
      more: { type: "number", label: "More", many: true },
      word: { type: "text", label: "Word", optional: true },
      about: { type: "any", label: "About", many: true, optional: true },
    },
    output: "number",
    compute: ({ one, more, word, about }) =>
      one +
      more.reduce((a, b) => a + b, 0) +
      (word?.length ?? 0) +
      about.reduce((n, { cell }) => n + cell.length, 0),
  });
  const about = [{ cell: "abc", title: "", quantities: [], settings: [] }];
  const inputs = { one: 1, more: [2, 3], word: undefined, about };
  expect((kind satisfies CellKind).compute(inputs, {}, {} as Parameters<CellKind["compute"]>[2])).toBe(9);
});

test("ports and values that do not fit do not compile", () => {
  const compute = () => 1;
  // @ts-expect-error: no port is called so
  const input = () => defineCell({ ...plain, inputs: { one: { type: "nummer", label: "One" } }, compute });
  // @ts-expect-error: no value is called so
  const output = () => defineCell({ ...plain, inputs: {}, output: "nummer", compute });
  // @ts-expect-error: every cell can be asked; none gives "any" as its value
  const any = () => defineCell({ ...plain, inputs: {}, output: "any", compute });
  // @ts-expect-error: the value is no text
  const value = () => defineCell({ ...plain, inputs: {}, output: "text", compute });
  const absent = () =>
    defineCell({
      ...plain,
      inputs: { one: { type: "number", label: "One", optional: true } },
      // @ts-expect-error: what is optional may be absent
      compute: ({ one }) => one + 1,
    });
  expect([input, output, any, value, absent]).toHaveLength(5);
});
