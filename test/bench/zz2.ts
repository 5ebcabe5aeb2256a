import { mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { serialiseNotebook } from "../../src/document/notebook.ts";
import { prepareFolder } from "../../src/server/folder.ts";
import { createStore } from "../../src/server/store.ts";
import { validateNotebook } from "../../src/server/validateNotebook.ts";
import { heavyNotebook } from "./largeNotebook.ts";
const places = await prepareFolder(await mkdtemp(join(process.env.DIR ?? tmpdir(), "bole-b-")));
const store = await createStore({ places, validate: validateNotebook, examples: {} });
const doc = heavyNotebook(2_000_000);
const texts = ["a", "b"].map((title) => serialiseNotebook({ ...doc, title }));
let { revision } = await store.create("a", texts[0]);
const med = (a: number[]) => [...a].sort((x, y) => x - y)[a.length >> 1].toFixed(1);
for (let round = 0; round < 3; round++) {
  const t: number[] = [];
  const c: number[] = [];
  for (let k = 0; k < 41; k++) {
    const text = texts[(k + 1) % 2];
    const bytes = Buffer.from(text);
    const u = process.cpuUsage();
    const s = performance.now();
    revision = (await store.save("a", text, revision, undefined, bytes)).revision;
    t.push(performance.now() - s);
    const v = process.cpuUsage(u);
    c.push((v.user + v.system) / 1000);
  }
  console.log("store.save 2 MB", med(t), "cpu", med(c));
}
