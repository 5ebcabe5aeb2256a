import { describe, expect, test } from "vitest";
import calibrationText from "../../data/examples/calibrate-a-paste.json?raw";
import jobText from "../../data/examples/from-colour-to-job.json?raw";
import mixText from "../../data/examples/put-a-mix-right.json?raw";
import type { NotebookDocument } from "../../src/document/notebook.ts";
import { parseNotebook } from "../../src/document/notebook.ts";
import type { KeptDrawdowns } from "../../src/drawdowns/keptTable.ts";
import { panelsOfTable } from "../../src/drawdowns/panelsOfTable.ts";
import type { JobRecord } from "../../src/job/jobRecord.ts";
import { jobPanel, recordPanels } from "../../src/job/panelsForLedger.ts";
import { idOfPanel } from "../../src/ledger/panel.ts";
import { writePanels } from "../../src/ledger/panelCsv.ts";
import { shelfOfPanels } from "../../src/ledger/panelShelf.ts";
import { panelsOfRows } from "../../src/ledger/shelfRows.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { compileShelf } from "../../src/shelf/compiledShelf.ts";
import { usualPriors } from "../../src/shelf/priors.ts";
import { ShelfModel } from "../../src/shelf/shelfModel.ts";
import { readShelfFile } from "../../src/tables/shelfFile.ts";
import { computed } from "../cells/computed.ts";

const cellOf = (document: NotebookDocument, kind: string) => document.cells.find((one) => one.kind === kind)!;
const told = { label: "panel", date: "2031-05-04", origin: "invented" };

describe("a job as panels of the ledger", () => {
  test("the shelf predicts of such a panel what the coverage cell predicts of the part", async () => {
    // identity: the same films, told in two ways
    const graph = await computed(parseNotebook(mixText));
    const coverage = graph.lastValue("cover") as Coverage;
    const { recipe, basecoat, viewing, parts } = coverage;
    const k1 = viewing.surface.externalReflection;
    parts.forEach(({ painted }, part) => {
      const seen = painted.reflectance.map((R) => R + (1 - viewing.sheen) * k1);
      const panel = jobPanel({
        ...{ coverage, part, components: recipe.components, volumes: recipe.volumes, ...told },
        reading: {
          kind: "spectrum",
          specular: "included",
          wavelengths: Array.from(seen, (_, i) => 380 + 10 * i),
          values: [...seen],
        },
      })!;
      expect(panel.below).toHaveLength(1);
      const { shelf } = shelfOfPanels({
        panels: [{ id: "a", panel }],
        components: [...recipe.available, ...basecoat!.paints],
        surface: viewing.surface,
        weights: viewing.weights,
      }).told;
      const model = new ShelfModel(compileShelf(shelf, usualPriors[0]));
      model.set(new Float64Array(model.compiled.size));
      const last = shelf.readings[shelf.readings.length - 1];
      const out = new Float64Array(seen.length);
      model.reflectanceInto(Int32Array.from(last.films), shelf.grounds[last.ground], k1, out);
      // Thickness is kept to 0.01 µm, the ground to five digits.
      seen.forEach((R, i) => {
        expect(Math.abs(out[i] - R)).toBeLessThan(2e-4);
      });
    });
  });

  test("a panel that hides needs no ground, and an empty pot makes none", async () => {
    const graph = await computed(parseNotebook(mixText));
    const coverage = graph.lastValue("cover") as Coverage;
    const { components, volumes } = coverage.recipe;
    const reading = {
      ...{ kind: "lab" as const, specular: "included" as const, illuminant: "D65" },
      ...{ observer: "1964-10" as const, sigma: 0.5, Lab: [40, 50, 30] as [number, number, number] },
    };
    const opaque = jobPanel({ coverage, part: undefined, components, volumes, reading, ...told })!;
    expect([opaque.thickness, opaque.ground, opaque.below]).toEqual([
      "opaque",
      { name: "hidden" },
      undefined,
    ]);
    const none = volumes.map(() => 0);
    expect(jobPanel({ coverage, part: 0, components, volumes: none, reading, ...told })).toBeUndefined();
  });

  test("a record tells what was really weighed and laid", async () => {
    const document = parseNotebook(jobText);
    const graph = await computed(document);
    const record = graph.lastValue(cellOf(document, "job-record").id) as JobRecord;
    const { name } = record.batch.coverage.parts[0].substrate;
    const red = record.amounts.find(({ layer }) => layer === "colour")!;
    const weighed = { ...red, weighed: 2 * red.planned };
    const panels = recordPanels(
      {
        ...record,
        amounts: record.amounts.map((one) => (one === red ? weighed : one)),
        coats: record.coats.map((one) => (one.layer.kind === "colour" ? { ...one, laid: 3 } : one)),
      },
      [{ part: name, L: 40, a: 50, b: 30 }],
      { specular: "excluded", date: "2031-05-04", origin: "invented" },
    );
    expect(panels).toHaveLength(1);
    const [panel] = panels;
    const part = panel.parts.find(({ component }) => component === red.component.id)!;
    expect(part.amount).toBeCloseTo((2 * red.planned) / red.component.density, 3);
    expect([panel.coats, panel.reading.specular]).toEqual([3, "excluded"]);
  });
});

test("every drawdown of a calibration goes along, and comes back from CSV", () => {
  const { parameters } = cellOf(parseNotebook(calibrationText), "calibration");
  const table = parameters.drawdowns as KeptDrawdowns;
  const paste = { id: "rose-sample", name: "Rose sample" };
  const { panels, passedOver } = panelsOfTable(table, { paste, known: [], date: "", origin: "invented" });
  expect(passedOver).toBe(0);
  expect(panels).toHaveLength(table.films.reduce((sum, film) => sum + film.readings.length, 0));
  expect(new Set(panels.map(idOfPanel)).size).toBe(panels.length);
  const again = panelsOfRows(readShelfFile(writePanels(panels), "invented"), (name) =>
    name === paste.name ? paste.id : undefined,
  );
  const sorted = (all: typeof panels) =>
    all.map((panel) => ({ ...panel, parts: panel.parts.toSorted((a, b) => a.name.localeCompare(b.name)) }));
  expect(sorted([...again.panels])).toEqual(sorted(panels));
  // One entry each, whichever way they come.
  expect(again.panels.map(idOfPanel)).toEqual(panels.map(idOfPanel));
  const without = panelsOfTable({ ...table, bare: [] }, { paste, known: [], date: "", origin: "" });
  expect([without.panels.length, without.passedOver]).toEqual([0, panels.length]);
});
