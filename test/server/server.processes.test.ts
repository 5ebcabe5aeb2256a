import { execFile } from "node:child_process";
import { EventEmitter, once } from "node:events";
import { chmod, chown, mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { promisify } from "node:util";
import { beforeAll, expect, test } from "vitest";
import { parseNotebook } from "../../src/document/notebook.ts";
import { revisionOf } from "../../src/server/revisions.ts";
import { thorough } from "../howMuch.ts";
import { bundledServer, startOwnServer } from "./ownProcess.ts";
import { notebookText, temporaryFolder } from "./temporaryFolder.ts";

const kills = thorough ? 300 : 6;
const lanes = 3;
const seed = 20260111;

let start = "";
beforeAll(async () => {
  start = await bundledServer();
}, 180_000);

/** Numbers from 0 to 1; the same for the same seed. */
function randomNumbers(from: number): () => number {
  let state = from;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

interface Kept {
  /** The last text that was confirmed, and its revision. */
  confirmed: string;
  /** The text on its way when the server was killed. */
  underWay: string | undefined;
  count: number;
}

test(`${kills} servers killed while they save lose no confirmed save and leave no unreadable notebook`, async () => {
  const random = randomNumbers(seed);
  const names = ["small", "middle", "large"];
  const padding = { small: 10, middle: 20_000, large: 300_000 } as Record<string, number>;
  const textOf = (name: string, count: number) =>
    `${JSON.stringify(
      {
        format: "bole-notebook",
        version: 1,
        title: `${name} ${count}`,
        cells: [
          {
            id: "note",
            kind: "note",
            title: "",
            parameters: { text: "x".repeat(padding[name]) },
            inputs: {},
          },
        ],
      },
      null,
      1,
    )}\n`;
  const figures = { kills: 0, confirmed: 0, cut: 0, arrived: 0, aside: 0 };
  const saves = new EventEmitter();
  let left = kills;

  async function lane(): Promise<void> {
    const folder = await temporaryFolder();
    const kept = new Map<string, Kept>();
    for (let first = true; left > 0; first = false) {
      left--;
      const server = await startOwnServer(start, folder);
      if (first) {
        // The examples are of no use here and would have to be read at each of the starts.
        for (const file of await readdir(folder)) if (file.endsWith(".json")) await rm(join(folder, file));
        for (const name of names) {
          const text = textOf(name, 0);
          const made = await server.send(
            "POST",
            "/api/notebooks",
            JSON.stringify({ name, document: JSON.parse(text) }),
          );
          expect(made.status).toBe(201);
          kept.set(name, { confirmed: text, underWay: undefined, count: 0 });
        }
      } else if (left % 8 === 0) await lookAfter(folder, kept, server);
      // At any moment of the first saves, or of those that follow a few confirmed ones.
      const killAfterSaves = figures.confirmed + Math.floor(4 * random());
      const killAfterMs = 25 * random();
      const saving = names.map(async (name) => {
        const state = kept.get(name)!;
        for (;;) {
          const text = textOf(name, ++state.count);
          state.underWay = text;
          const basedOn = revisionOf(state.confirmed);
          const reply = await server
            .send("PUT", `/api/notebooks/${name}`, text, { "if-match": `"${basedOn}"` })
            .catch(() => undefined);
          if (!reply) return; // killed
          expect([reply.status, reply.json.revision]).toEqual([200, revisionOf(text)]);
          figures.confirmed++;
          state.confirmed = text;
          state.underWay = undefined;
          saves.emit("confirmed");
        }
      });
      while (figures.confirmed < killAfterSaves) await once(saves, "confirmed");
      // The pause is what is tried: the kill comes at any moment of a save.
      await pause(killAfterMs);
      await server.kill("SIGKILL");
      figures.kills++;
      await Promise.all(saving);
      // At this moment, with no server to help: every file is whole, and is what was confirmed or was on its way.
      for (const [name, state] of kept) {
        const text = await readFile(join(folder, `${name}.bole.json`), "utf8").catch(async () => {
          // Killed between the two steps of a change of place: the next start puts this one back.
          const aside = join(folder, ".bole", "aside");
          const file = (await readdir(aside)).find(
            (each) => each.endsWith(`.${name}.bole.json`) && each[8] === ".",
          );
          figures.aside++;
          return readFile(join(aside, file!), "utf8");
        });
        parseNotebook(text);
        if (state.underWay !== undefined) figures.cut++;
        if (text !== state.confirmed) {
          expect(text === state.underWay, `${name} holds ${text.slice(0, 80)}`).toBe(true);
          figures.arrived++;
        }
        state.confirmed = text;
        state.underWay = undefined;
      }
    }
  }

  /** After the next start: the notebooks are listed without a complaint, and the confirmed states are among the revisions. */
  async function lookAfter(
    folder: string,
    kept: Map<string, Kept>,
    server: Awaited<ReturnType<typeof startOwnServer>>,
  ): Promise<void> {
    const { notebooks } = (await server.send("GET", "/api/notebooks")).json;
    expect(notebooks.filter((entry: { problem?: string }) => entry.problem)).toEqual([]);
    expect(await readdir(join(folder, ".bole", "temporary"))).toEqual([]);
    for (const [name, state] of kept) {
      const { json } = await server.send("GET", `/api/notebooks/${name}`);
      expect(json.text).toBe(state.confirmed);
      const { revisions } = (await server.send("GET", `/api/notebooks/${name}/revisions`)).json;
      const ids = revisions.map(({ revision }: { revision: string }) => revision);
      expect(ids).toContain(revisionOf(state.confirmed));
    }
  }

  await Promise.all(Array.from({ length: lanes }, lane));
  console.log(
    `${figures.kills} kills (seed ${seed}): ${figures.confirmed} saves confirmed, 0 lost; ` +
      `${figures.cut} cut off under way, of which ${figures.arrived} had arrived whole, ` +
      `${figures.aside} healed by the next start; 0 notebooks unreadable`,
  );
  expect(figures.kills).toBe(kills);
  expect(figures.cut).toBeGreaterThan(kills / 2);
  expect(figures.confirmed).toBeGreaterThan(kills / 2);
}, 180_000);

test("of servers that start on one folder at once one gets it, and the others say where it is", async () => {
  const folder = await temporaryFolder();
  let refused = 0;
  const rounds = thorough ? 3 : 2;
  for (let round = 0; round < rounds; round++) {
    const starts = await Promise.allSettled(Array.from({ length: 6 }, () => startOwnServer(start, folder)));
    const running = starts.flatMap((outcome) => (outcome.status === "fulfilled" ? [outcome.value] : []));
    expect(running).toHaveLength(1);
    for (const outcome of starts) {
      if (outcome.status === "fulfilled") continue;
      refused++;
      expect(String(outcome.reason)).toMatch(/already in use by a running server.*process \d+.*--folder/);
    }
    // The next round begins on the lock of a server that was killed.
    await running[0].kill("SIGKILL");
  }
  console.log(
    `${rounds} rounds of 6 starts at once: ${rounds} servers ran, ${refused} were refused in words`,
  );
}, 180_000);

const isRoot = process.getuid?.() === 0;

test.skipIf(!isRoot)(
  "a folder that this account may not write: refused in words at the start and at a save",
  async () => {
    // Root may write anywhere, so the server runs as an account that owns nothing.
    const nobody = { uid: 65534, gid: 65534 };
    for (const place of [dirname(start), join(dirname(start), "server"), join(dirname(start), "page")])
      await chmod(place, 0o755);
    const folder = await temporaryFolder();
    await chmod(folder, 0o755);
    const closed = join(folder, "closed");
    await mkdir(closed, { mode: 0o755 });
    await writeFile(join(closed, "a.bole.json"), notebookText("before"));
    await expect(startOwnServer(start, closed, nobody)).rejects.toThrow(/cannot be made \(EACCES\)/);
    expect(await readdir(closed)).toEqual(["a.bole.json"]);

    const open = join(folder, "open");
    await mkdir(open);
    await chown(open, nobody.uid, nobody.gid);
    const server = await startOwnServer(start, open, nobody);
    try {
      const document = JSON.parse(notebookText("before"));
      const made = await server.send("POST", "/api/notebooks", JSON.stringify({ name: "a", document }));
      const put = (title: string) =>
        server.send("PUT", "/api/notebooks/a", notebookText(title), {
          "if-match": `"${made.json.revision}"`,
        });
      for (const place of [join(open, ".bole", "temporary"), join(open, ".bole", "revisions", "a"), open]) {
        await chown(place, 0, 0);
        const { status, json } = await put("after");
        expect([status, json]).toEqual([
          403,
          {
            error: expect.stringMatching(/may not be written.*as it was/),
            reason: "not-writable",
            done: false,
          },
        ]);
        expect(await readFile(join(open, "a.bole.json"), "utf8")).toBe(notebookText("before"));
        await chown(place, nobody.uid, nobody.gid);
      }
      expect((await put("after")).status).toBe(200);
      console.log(
        "permission denied at 3 places: 3 saves refused in words, 0 lost; saved once it was allowed again",
      );
    } finally {
      await server.kill("SIGTERM");
    }
  },
  180_000,
);

test.skipIf(!isRoot || process.platform !== "linux")(
  "a program of another account of this computer is refused",
  async () => {
    const folder = await temporaryFolder();
    await chmod(folder, 0o755);
    const server = await startOwnServer(start, folder);
    try {
      expect((await server.send("GET", "/api/session")).status).toBe(200);
      const ask = `const reply = await fetch(process.argv[1]); console.log(reply.status, await reply.text());`;
      for (const path of ["/", "/api/session", "/api/notebooks", "/api/events"]) {
        const { stdout } = await promisify(execFile)(
          process.execPath,
          ["--input-type=module", "--eval", ask, server.address + path],
          { uid: 65534, gid: 65534 },
        );
        expect(stdout).toMatch(/^403 .*Only the account that started the server/);
      }
    } finally {
      await server.kill("SIGTERM");
    }
  },
  180_000,
);
