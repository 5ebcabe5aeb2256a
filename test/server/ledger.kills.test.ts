import { expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import type { LedgerEntry } from "../../src/ledger/ledgerFile.ts";
import { thorough } from "../howMuch.ts";
import { panelOf } from "../ledger/panels.ts";
import { bundledServer, startOwnServer } from "./ownProcess.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

const kills = thorough ? 60 : 5;
const seed = Number(process.env.BOLE_SEED ?? 1) || 1;

// identity: every panel that was confirmed is in the file after the kill.
test(`${kills} servers killed while panels come in lose none that was confirmed`, async () => {
  const start = await bundledServer();
  const folder = await temporaryFolder();
  const random = seededRandom(seed);
  const confirmed = new Set<string>();
  let sent = 0;
  let cut = 0;
  for (let kill = 0; kill < kills; kill++) {
    const server = await startOwnServer(start, folder);
    const { entries } = (await server.send("GET", "/api/ledger")).json as { entries: LedgerEntry[] };
    const there = new Set(entries.map(({ id }) => id));
    for (const id of confirmed) expect(there.has(id), `seed ${seed}, panel ${id}`).toBe(true);
    const coming = (async () => {
      for (;;) {
        const id = `p${sent++}`;
        const body = JSON.stringify({ changes: [{ id, panel: panelOf(id), basedOn: 0 }] });
        const answer = await server.send("POST", "/api/ledger", body).catch(() => undefined);
        if (!answer) {
          cut++;
          return;
        }
        expect(answer.status).toBe(200);
        confirmed.add(id);
      }
    })();
    // The pause is what is tried: the kill comes at any moment of a write.
    await new Promise((done) => setTimeout(done, 150 * random()));
    await server.kill("SIGKILL");
    await coming;
  }
  console.log(`${kills} kills (seed ${seed}): ${confirmed.size} panels confirmed, 0 lost; ${cut} cut short`);
  expect(cut).toBe(kills);
  expect(confirmed.size).toBeGreaterThan(0);
}, 300_000);
