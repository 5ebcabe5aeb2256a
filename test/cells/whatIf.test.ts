import { describe, expect, test } from "vitest";
import type { WhatIf } from "../../cells/what-if/define.ts";
import exampleText from "../../data/examples/choose-the-ground.json?raw";
import { parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { computed } from "./computed.ts";

const example = parseNotebook(exampleText);

describe("what if", () => {
  test("a point of the map is what the notebook gives when it is really set so", async () => {
    // independent slow method: change the notebook itself
    const graph = await computed(example);
    const { x, y, values } = graph.lastValue("what-if") as WhatIf;
    for (const [i, j] of [
      [0, 0],
      [8, 2],
      [16, 4],
    ]) {
      let set = setParameters(example, x.cell, { [x.name]: x.values[i] });
      set = setParameters(set, y!.cell, { [y!.name]: y!.values[j] });
      const { parts, worst } = (await computed(set)).lastValue("cover") as Coverage;
      expect(values[j * x.values.length + i]).toBeCloseTo(parts[worst].painted.difference!, 12);
    }
  });

  test("asking leaves the notebook as it is", async () => {
    const graph = await computed(example);
    const { parts, worst, basecoat } = graph.lastValue("cover") as Coverage;
    expect(basecoat!.ratio).toBe(0.2);
    const { result } = graph.lastValue("what-if") as WhatIf;
    expect(result.value).toBe(parts[worst].painted.difference);
  });

  test("a number that is not to be had is a gap with its reason", async () => {
    const graph = await computed(
      setParameters(example, "what-if", { result: "part-2-bare-coats", y: "", x: "ground:ratio" }),
    );
    const { values, missing } = graph.lastValue("what-if") as WhatIf;
    expect(values.every((value) => Number.isNaN(value))).toBe(true);
    expect(missing).toMatch(/never/);
  });

  test.each([
    ["an unknown result", { result: "gold" }, "result", /no number called "gold"/],
    ["an unknown setting", { x: "ground:gold" }, "x", /no setting "ground:gold"/],
    ["the same setting twice", { y: "ground:ratio", yFrom: null, yTo: null }, "y", /same setting/],
    ["a range outside", { from: 0.2, to: 1.5 }, "from", /0 to 1 is allowed/],
    ["a range upside down", { from: 0.9, to: 0.1 }, "from", /cannot go from 0.9 to 0.1/],
  ])("%s: the message names the field", async (_, patch, field, message) => {
    const graph = await computed(setParameters(example, "what-if", patch));
    const outcome = graph.outcome("what-if");
    expect(outcome).toMatchObject({ status: "error", field, bug: false });
    expect((outcome as { message: string }).message).toMatch(message);
  });
});
