import { readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { describe, expect, test, vi } from "vitest";
import { checkLedger, type LedgerEntry } from "../../src/ledger/ledgerFile.ts";
import { panelOf } from "../ledger/panels.ts";
import { runningServer } from "./runningServer.ts";

const post = (...changes: unknown[]) => ({ method: "POST", body: { changes } });
const fileIn = (folder: string) => join(folder, "library", "panels.bole-ledger.json");

// identity throughout: what was confirmed stands in the file, and what is read back is what was given.
describe("the ledger of panels", () => {
  test("keeps panels in one file beside the library, with what they were before", async () => {
    const { send, folder } = await runningServer();
    expect((await send("/api/ledger")).json).toEqual({ entries: [] });
    expect((await send("/api/ledger", post({ id: "a", panel: panelOf("one"), basedOn: 0 }))).json).toEqual({
      changed: 1,
    });
    const aside = panelOf("one", { setAside: "dust in the film" });
    await send("/api/ledger", post({ id: "a", panel: aside, basedOn: 1 }));
    const [entry] = (await send("/api/ledger")).json.entries as LedgerEntry[];
    expect([entry.number, entry.panel.setAside, entry.earlier.map(({ panel }) => panel)]).toEqual([
      2,
      "dust in the film",
      [panelOf("one")],
    ]);
    expect(checkLedger(JSON.parse(await readFile(fileIn(folder), "utf8"))).entries).toEqual([entry]);
    expect((await send("/api/library")).json.items).toEqual([]);
  });

  test("what was seen earlier than it stands is a conflict, the same again is none, and changes go together", async () => {
    const { send } = await runningServer();
    const first = { id: "a", panel: panelOf("one"), basedOn: 0 };
    await send("/api/ledger", post(first));
    expect((await send("/api/ledger", post(first))).json).toEqual({ changed: 0 });
    const late = await send(
      "/api/ledger",
      post(
        { id: "b", panel: panelOf("two"), basedOn: 0 },
        { id: "a", panel: panelOf("one again"), basedOn: 0 },
      ),
    );
    expect([late.status, late.json.id, late.json.latest]).toEqual([409, "a", 1]);
    expect((await send("/api/ledger")).json.entries).toHaveLength(1);
  });

  test("a panel that is taken out goes to the bin and can be put back", async () => {
    const { send, folder } = await runningServer();
    await send("/api/ledger", post({ id: "a", panel: panelOf("one"), basedOn: 0 }));
    await send("/api/ledger", post({ id: "a", panel: null, basedOn: 1 }));
    expect((await send("/api/ledger")).json.entries).toEqual([]);
    const [binned] = await readdir(join(folder, ".bole", "bin"));
    expect(JSON.parse(await readFile(join(folder, ".bole", "bin", binned), "utf8")).entries).toHaveLength(1);
    expect((await send("/api/bin")).json.notebooks).toEqual([]);
    await send("/api/ledger", post({ id: "a", panel: panelOf("one"), basedOn: 0 }));
    expect((await send("/api/ledger")).json.entries).toHaveLength(1);
  });

  test("of many who add at once nobody's panel is lost", async () => {
    const { send } = await runningServer();
    const replies = await Promise.all(
      Array.from({ length: 12 }, (_, k) =>
        send("/api/ledger", post({ id: `p${k}`, panel: panelOf(`panel ${k}`), basedOn: 0 })),
      ),
    );
    expect(replies.map(({ status }) => status)).toEqual(Array(12).fill(200));
    expect((await send("/api/ledger")).json.entries).toHaveLength(12);
  });

  test.each<[string, unknown, RegExp]>([
    ["no changes", undefined, /changes/],
    ["an id that is a path", [{ id: "../up", panel: panelOf("x"), basedOn: 0 }], /hyphens/],
    [
      "a panel without ingredients",
      [{ id: "a", panel: panelOf("x", { parts: [] }), basedOn: 0 }],
      /ingredient/,
    ],
    [
      "a ground that nobody read",
      [{ id: "a", panel: panelOf("x", { ground: { name: "card" } }), basedOn: 0 }],
      /bare ground is needed/,
    ],
    [
      "a reflectance beyond all measure",
      [
        {
          id: "a",
          panel: panelOf("x", {
            reading: {
              kind: "lab",
              specular: "included",
              Lab: [140, 0, 0],
              illuminant: "D65",
              observer: "1964-10",
              sigma: 1,
            },
          }),
          basedOn: 0,
        },
      ],
      /0 to 100/,
    ],
  ])("%s is refused in words and nothing is written", async (_, changes, message) => {
    const { send, folder } = await runningServer();
    const reply = await send("/api/ledger", { method: "POST", body: { changes } });
    expect([reply.status, reply.json.error]).toEqual([400, expect.stringMatching(message)]);
    expect(await readdir(join(folder, "library"))).toEqual([]);
  });

  test("a file by another program is told of; a broken one is refused in words and left alone", async () => {
    const { send, folder, workplace } = await runningServer();
    await send("/api/ledger", post({ id: "a", panel: panelOf("one"), basedOn: 0 }));
    const text = await readFile(fileIn(folder), "utf8");
    await writeFile(fileIn(folder), text.replaceAll('"one"', '"by hand"'));
    await workplace.ledger.scan();
    await vi.waitFor(async () =>
      expect((await send("/api/ledger")).json.entries[0].panel.label).toBe("by hand"),
    );
    await writeFile(fileIn(folder), text.slice(0, 90));
    expect((await send("/api/ledger")).status).toBe(400);
    const more = post({ id: "b", panel: panelOf("two"), basedOn: 0 });
    expect((await send("/api/ledger", more)).status).toBe(400);
    expect(await readFile(fileIn(folder), "utf8")).toBe(text.slice(0, 90));
  });
});
