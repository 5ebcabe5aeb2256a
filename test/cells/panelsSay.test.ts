import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import type { WhatPanelsSay } from "../../cells/panels-say/define.ts";
import type { OwnPanel } from "../../cells/panels-say/model/parameters.ts";
import { panelsChart } from "../../cells/panels-say/view/panelsChart.ts";
import { jumpWords, verdictWords } from "../../cells/panels-say/view/words.ts";
import exampleText from "../../data/examples/the-shelf-learns.json?raw";
import { type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import { besideLedger, learntPanels, olderWords, sinceLearnt } from "../../src/ledger/besideLedger.ts";
import { changeWords } from "../../src/ledger/changeWords.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { draw } from "../charts/drawn.ts";
import { expectChart } from "../charts/picture.ts";
import { panelOf } from "../ledger/panels.ts";
import { computed } from "./computed.ts";

const example = parseNotebook(exampleText);
const signal = new AbortController().signal;
const sayOf = async (document: NotebookDocument) =>
  (await computed(document)).lastValue("say") as WhatPanelsSay;
const own = example.cells.find(({ id }) => id === "say")!.parameters.panels as OwnPanel[];

describe("what the panels say, in the notebook", () => {
  test("the example was learnt from its panels, and names what went wrong on the way", async () => {
    const { said, isPresent, isForThisJob, isUsed } = await sayOf(example);
    expect([isPresent, isForThisJob, isUsed]).toEqual([true, true, false]);
    const label = (id: string) => own.find((one) => one.id === id)!.panel.label;
    // known here alone: doses of one panel were exchanged, and the new bottle holds 82 % of the old one's pigment
    const odd = said!.panels.filter(({ contradicts }) => contradicts);
    expect(odd.map(({ id, likely }) => [label(id), likely])).toEqual([
      ["Bench panel, doses exchanged", "the doses of Pyrrole red and Pyrrole orange are exchanged"],
    ]);
    expect(Math.abs(said!.bottles[1].jump! - 0.82)).toBeLessThan(0.05);
    expect(said!.errors.at(-1)!.median).toBeLessThan(said!.errors[0].median / 2);
    expect(verdictWords(said!)).toMatch(
      /^Half of the 16 panels lie within ΔE00 0\.\d\d of what all others say\./,
    );
    expect(jumpWords(said!.bottles[1])).toMatch(/^Bottle B of Pyrrole red colours 1\d % less/);
  });

  test("used, the job is predicted as was said, no panel counts twice, and without it all is as before", async () => {
    const graph = await computed(example);
    const before = graph.lastValue("say") as WhatPanelsSay;
    const also = new Map<string, Readonly<Record<string, unknown>>>();
    const patch = await graph.act("say", "use", signal, undefined, (id, change) => also.set(id, change));
    expect([...also.keys()]).toEqual(["rack"]);
    let document = setParameters(example, "say", patch);
    for (const [id, change] of also) document = setParameters(document, id, change);
    const after = await computed(document);
    const say = after.lastValue("say") as WhatPanelsSay;
    // The shelf from which was learnt is kept: what was learnt still belongs to these panels.
    expect([say.isPresent, say.isUsed]).toEqual([true, true]);
    const { parts } = after.lastValue("cover") as Coverage;
    before.parts.forEach(({ taught, now, moved }, k) => {
      expect(moved).toBeGreaterThan(0.5);
      // identity: the same pastes, films and eye
      for (let i = 0; i < 3; i++) expect(parts[k].painted.Lab[i]).toBeCloseTo(taught.Lab[i], 9);
      expect(parts[k].painted.Lab).not.toEqual(now.Lab);
    });
    const back = await sayOf(setParameters(document, "rack", { added: [] }));
    expect(back.parts[0].now.Lab).toEqual(before.parts[0].now.Lab);
  });

  test("another panel, another word on one, or another paste, and it is marked as learnt from others", async () => {
    const aside = own.map((one, k) =>
      k === 8 ? { ...one, panel: { ...one.panel, setAside: "doses exchanged" } } : one,
    );
    expect((await sayOf(setParameters(example, "say", { panels: aside }))).isPresent).toBe(false);
    expect((await sayOf(setParameters(example, "say", { panels: own.slice(1) }))).isPresent).toBe(false);
    const other = await sayOf(setParameters(example, "plan", { heavyCoats: 3 }));
    expect([other.isPresent, other.isForThisJob]).toEqual([true, false]);
  });

  test("nothing to learn from is said in words", async () => {
    const graph = await computed(setParameters(example, "say", { panels: [], learnt: null }));
    expect(graph.outcome("say").status).toBe("ok");
    await expect(graph.act("say", "learn", signal)).rejects.toThrow(/no panel to learn from/);
    await expect(graph.act("say", "use", signal)).rejects.toThrow(/Nothing was learnt yet/);
  });

  test("what was corrected in a panel is told", () => {
    const panel = panelOf("x");
    const after = {
      ...panel,
      habit: "new head",
      setAside: "dust",
      reading: { ...panel.reading, specular: "included" as const },
    };
    expect(changeWords(panel, panel)).toBe("nothing that shows");
    expect(changeWords(panel, after)).toBe(
      `instrument or hand from ${panel.habit ? `“${panel.habit}”` : "nothing"} to “new head”; set aside because from nothing to “dust”; the reading`,
    );
  });

  test("how it stands to the ledger", () => {
    const entry = (one: OwnPanel) => ({ ...one, number: 1, saved: "", earlier: [] });
    const new1 = entry({ id: "new", panel: panelOf("new") });
    const changed = entry({ ...own[1], panel: { ...own[1].panel, habit: "another" } });
    // The order of names within a panel is no difference.
    const turned = Object.fromEntries(Object.entries(own[0].panel).reverse()) as OwnPanel["panel"];
    const beside = besideLedger(own.slice(0, 3), [entry({ ...own[0], panel: turned }), changed, new1]);
    expect(beside).toEqual({ more: [new1], changed: [changed], onlyHere: [own[2]] });
    const learnt = learntPanels(own.slice(0, 3));
    expect(sinceLearnt(learnt, [entry({ ...own[0], panel: turned }), changed, new1])).toEqual({
      more: 1,
      changed: 1,
    });
    expect(sinceLearnt(learnt, [entry(own[0])])).toEqual({ more: 0, changed: 0 });
    expect(olderWords(1, 0)).toBe("1 panel of the ledger is not in here.");
    expect(olderWords(2, 1)).toBe("2 panels of the ledger are not in here, 1 panel was corrected there.");
  });
});

test.each([340, 1040])(
  "the chart at %i px has a dot and a dash for each panel, and a line for the error",
  (width) => {
    const points = [0.4, 0.8, 6].map((off) => ({ off, band: 1.2, contradicts: off > 2 }));
    const errors = [3, 1].map((median, k) => ({ panels: k, median }));
    const size = { width, height: 360 };
    const options = panelsChart(Plot, { points, errors }, size);
    const drawn = draw(options);
    expect(drawn.marks("dot").flatMap((group) => group.all("circle"))).toHaveLength(3);
    expect(options.key?.map(({ label }) => label)).toEqual([
      "panel",
      "contradicts the rest",
      "nine of ten lie below the dash",
      "error on panels yet to come",
    ]);
    expectChart(`panelsChart-${width}`, options);
    expect(() => panelsChart(Plot, { points: [], errors }, size)).toThrow(RangeError);
  },
);
