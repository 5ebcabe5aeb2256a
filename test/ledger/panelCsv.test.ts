import { describe, expect, test } from "vitest";
import { changedLedger, checkLedger, emptyLedger, serialiseLedger } from "../../src/ledger/ledgerFile.ts";
import { idOfPanel, type Panel } from "../../src/ledger/panel.ts";
import { writePanels } from "../../src/ledger/panelCsv.ts";
import { panelsOfRows } from "../../src/ledger/shelfRows.ts";
import { readShelfFile } from "../../src/tables/shelfFile.ts";
import { colourPanelOf, panelOf } from "./panels.ts";

const ids: Record<string, string> = { "Red oxide paste": "red-oxide", "Clear binder": "clear-binder" };
const again = (panels: readonly Panel[]) =>
  panelsOfRows(readShelfFile(writePanels(panels), "invented"), (name) => ids[name]);

const white = panelOf("x").ground;
const black = {
  name: "black card",
  reading: { ...white.reading!, values: white.reading!.values.map(() => 0.05) },
};

describe("panels as CSV", () => {
  // identity: what is written is read back the same
  test.each<[string, Panel[]]>([
    ["one spectrum", [panelOf("one")]],
    ["spectra and colours beside each other", [panelOf("one"), colourPanelOf("two")]],
    ["one film over two grounds", [panelOf("one"), panelOf("one", { ground: black })]],
    [
      "set aside, with commas and quotation marks",
      [panelOf("one", { setAside: 'dust, and a "run"' }), panelOf("# two")],
    ],
    [
      "a film over another",
      [
        panelOf("one", {
          below: [
            {
              basis: "mass",
              parts: [{ name: "White base", amount: 1 }],
              thickness: { basis: "dry", value: 40 },
              coats: 1,
            },
          ],
        }),
      ],
    ],
    [
      "no thickness, an opaque film, another observer",
      [
        panelOf("one", { thickness: "unknown" }),
        panelOf("two", { thickness: "opaque" }),
        colourPanelOf("three", {
          reading: { ...colourPanelOf("x").reading, observer: "1931-2", illuminant: "A" } as Panel["reading"],
        }),
      ],
    ],
    [
      "other wavelengths",
      [
        panelOf("one"),
        panelOf("two", {
          reading: {
            kind: "spectrum",
            specular: "included",
            wavelengths: Array.from({ length: 16 }, (_, i) => 400 + 20 * i),
            values: Array(16).fill(0.25),
          },
        }),
      ],
    ],
  ])("%s", (_, panels) => {
    expect(again(panels).panels).toEqual(panels);
    expect(again(panels).panels.map(idOfPanel)).toEqual(panels.map(idOfPanel));
  });

  test("grounds and films of one name that differ are told apart", () => {
    const other = { ...black, name: "white card" };
    const { panels } = again([
      panelOf("one"),
      panelOf("one", { ground: other, date: "2031-05-05" }),
      panelOf("one", { parts: [{ name: "Red oxide paste", component: "red-oxide", amount: 1 }] }),
    ]);
    expect(panels.map(({ label, ground }) => [label, ground.name])).toEqual([
      ["one", "white card"],
      ["one (2)", "white card (2)"],
      ["one (3)", "white card"],
    ]);
  });

  test("laid amounts beside µm are refused in words", () => {
    const laid = panelOf("two", { thickness: { basis: "amount", value: 3 } });
    expect(() => writePanels([panelOf("one"), laid])).toThrow(/room for one of the two/);
    expect(again([laid]).panels).toEqual([laid]);
  });

  test("a row without a reading or without its ground is named", () => {
    const file = readShelfFile("label,ground,amount of a,dry_um,L*,a*,b*\nx,card,1,20,40,1,2\n", "f.csv");
    expect(panelsOfRows(file)).toEqual({
      panels: [],
      notes: expect.arrayContaining([expect.stringMatching(/row 2: the ground "card"/)]),
    });
  });
});

describe("the ledger", () => {
  const add = (panel: Panel) => ({ id: idOfPanel(panel), panel, basedOn: 0 });

  test("the same panel is one entry, wherever it came from; another reading is another", () => {
    expect(idOfPanel(panelOf("one", { origin: "a file" }))).toBe(idOfPanel(panelOf("one")));
    expect(idOfPanel(colourPanelOf("one"))).not.toBe(idOfPanel(panelOf("one")));
    const ledger = changedLedger(emptyLedger, [add(panelOf("one"))], "now");
    expect(changedLedger(ledger, [add(panelOf("one"))], "later")).toBe(ledger);
  });

  test("comes back from its text", () => {
    const ledger = changedLedger(emptyLedger, [add(panelOf("one")), add(colourPanelOf("two"))], "now");
    expect(checkLedger(JSON.parse(serialiseLedger(ledger)))).toEqual(ledger);
    expect(checkLedger(JSON.parse(serialiseLedger(emptyLedger)))).toEqual(emptyLedger);
  });

  test("keeps twenty earlier states", () => {
    let ledger = emptyLedger;
    for (let k = 0; k < 30; k++) {
      const panel = panelOf("one", { setAside: `reason ${k}` });
      ledger = changedLedger(ledger, [{ id: "a", panel, basedOn: k }], "now");
    }
    const [{ number, earlier }] = ledger.entries;
    expect([number, earlier.length, earlier[0].number]).toEqual([30, 20, 10]);
  });
});
