import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { beforeAll, expect, test } from "vitest";
import { revisionOf } from "../../src/server/revisions.ts";
import { thorough } from "../howMuch.ts";
import { bundledServer, startOwnServer } from "./ownProcess.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

const seconds = thorough ? 60 : 4;
const clients = 20;
/** Young objects have all their room from the start, or the collector's own growth would look like a leak. */
const collectorAtFullSize = ["--min-semi-space-size=16", "--max-semi-space-size=16"];
const savesPerSecond = 50;

let start = "";
beforeAll(async () => {
  start = await bundledServer();
}, 60_000);

type Counters = Record<string, number>;

const textOf = (counters: Counters) =>
  `${JSON.stringify(
    {
      format: "bole-notebook",
      version: 1,
      title: "Counters",
      cells: Object.entries(counters).map(([id, x]) => ({
        id,
        kind: "note",
        title: id,
        parameters: { x, text: "x".repeat(2000) },
        inputs: {},
      })),
    },
    null,
    1,
  )}\n`;
const countersIn = (text: string): Counters =>
  Object.fromEntries(
    JSON.parse(text).cells.map((cell: { id: string; parameters: { x: number } }) => [
      cell.id,
      cell.parameters.x,
    ]),
  );

test(
  `${savesPerSecond} saves a second for ${seconds} s from ${clients} clients, two on each notebook`,
  async () => {
    const folder = await temporaryFolder();
    const server = await startOwnServer(start, folder, {}, collectorAtFullSize);
    const confirmed = new Map<string, string[]>();
    const last = new Map<string, Counters>();
    const times: number[] = [];
    let conflicts = 0;
    try {
      for (let n = 0; n < clients / 2; n++) {
        const name = `n${n}`;
        const text = textOf({ "client-0": 0, "client-1": 0 });
        const made = await server.send(
          "POST",
          "/api/notebooks",
          JSON.stringify({ name, document: JSON.parse(text) }),
        );
        expect(made.status).toBe(201);
        confirmed.set(name, [revisionOf(text)]);
        last.set(name, { "client-0": 0, "client-1": 0 });
      }
      const begin = performance.now();
      const periodMs = (1000 * clients) / savesPerSecond;
      const memory: number[] = [];
      const watching = setInterval(() => {
        const bytes = server.memory();
        if (bytes !== undefined) memory.push(bytes / 1e6);
      }, 250);

      async function client(index: number): Promise<void> {
        const name = `n${index >> 1}`;
        const own = `client-${index & 1}`;
        let counters: Counters = { "client-0": 0, "client-1": 0 };
        let revision = revisionOf(textOf(counters));
        for (let turn = 0; ; turn++) {
          const due = begin + (turn + index / clients) * periodMs;
          if (due > begin + 1000 * seconds) return;
          // The pauses make the load: so many saves a second, each at its time.
          await pause(Math.max(0, due - performance.now()));
          counters = { ...counters, [own]: turn + 1 };
          for (;;) {
            const text = textOf(counters);
            const sent = performance.now();
            const { status, json } = await server.send("PUT", `/api/notebooks/${name}`, text, {
              "if-match": `"${revision}"`,
            });
            if (status === 409) {
              conflicts++;
              counters = { ...countersIn(json.text), [own]: turn + 1 };
              revision = json.revision;
              continue;
            }
            expect([status, json.revision]).toEqual([200, revisionOf(text)]);
            times.push(performance.now() - sent);
            revision = json.revision;
            confirmed.get(name)?.push(revision);
            last.get(name)![own] = turn + 1;
            break;
          }
        }
      }
      await Promise.all(Array.from({ length: clients }, (_, index) => client(index)));
      clearInterval(watching);

      for (const [name, revisions] of confirmed) {
        const text = await readFile(join(folder, `${name}.bole.json`), "utf8");
        expect(countersIn(text)).toEqual(last.get(name));
        const listed = (await server.send("GET", `/api/notebooks/${name}/revisions`)).json.revisions;
        // Newest first; the last 50 are kept, and none that was confirmed is missing among them.
        expect(listed.map(({ revision }: { revision: string }) => revision)).toEqual(
          revisions.slice(-50).reverse(),
        );
      }
      times.sort((a, b) => a - b);
      const settled = memory.slice(Math.floor(memory.length / 4));
      const third = Math.floor(settled.length / 3);
      const middle = (values: number[]) => [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0;
      const [early, late] = [middle(settled.slice(0, third)), middle(settled.slice(-third))];
      console.log(
        `${times.length} saves in ${seconds} s (${(times.length / seconds).toFixed(0)}/s), ${conflicts} conflicts met and solved, 0 confirmed revisions lost; ` +
          `answer: median ${times[times.length >> 1].toFixed(1)} ms, 99 % ${times[Math.floor(0.99 * times.length)].toFixed(1)} ms; ` +
          `memory ${early.toFixed(0)} MB early, ${late.toFixed(0)} MB late`,
      );
      expect(times.length).toBeGreaterThanOrEqual(0.98 * seconds * savesPerSecond);
      // Flat: what a collection of garbage leaves open is less than this.
      if (memory.length > 0) expect(late - early).toBeLessThan(25);
    } finally {
      await server.kill("SIGTERM");
    }
  },
  1000 * seconds + 60_000,
);
