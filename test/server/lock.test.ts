import { spawn } from "node:child_process";
import { once } from "node:events";
import { readdir, readFile, writeFile } from "node:fs/promises";
import { hostname } from "node:os";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { takeLock } from "../../src/server/lock.ts";
import { openWorkplace } from "../../src/server/server.ts";
import { runningServer } from "./runningServer.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

/** Number of a process that has ended. */
async function endedProcess(): Promise<number> {
  const child = spawn(process.execPath, ["--version"], { stdio: "ignore" });
  await once(child, "close");
  return child.pid!;
}

const lockOf = (holder: Record<string, unknown>) =>
  JSON.stringify({ key: "k", pid: process.pid, host: hostname(), start: null, ...holder });

describe("the lock of a folder", () => {
  test("a second server on the folder is refused with the address of the first, and can start after it", async () => {
    const first = await runningServer();
    const again = () => openWorkplace({ folder: first.folder, examples: {} });
    await expect(again()).rejects.toThrow(
      new RegExp(
        `already in use by a running server at ${first.address} \\(process ${process.pid}\\).*--folder`,
      ),
    );
    expect((await first.send("/api/notebooks")).status).toBe(200);
    await first.stop();
    const second = await again();
    await second.close();
  });

  test("is taken over from a process that is gone", async () => {
    const folder = await temporaryFolder();
    const path = join(folder, "lock.json");
    await writeFile(path, lockOf({ pid: await endedProcess() }));
    const lock = await takeLock(path);
    expect(JSON.parse(await readFile(path, "utf8")).pid).toBe(process.pid);
    await lock.release();
    expect(await readdir(folder)).toEqual([]);
  });

  test("is taken over when the number of the process now belongs to another one", async () => {
    const path = join(await temporaryFolder(), "lock.json");
    await writeFile(path, lockOf({ start: "an earlier boot 1" }));
    // Only Linux tells when a process began; elsewhere the running number has to count as alive.
    if (process.platform === "linux") await (await takeLock(path)).release();
    else await expect(takeLock(path)).rejects.toThrow(/already in use/);
  });

  test.each(["", "{", "null", "[]", '{"pid":"x"}'])(
    "is taken over when it was cut short: %j",
    async (text) => {
      const path = join(await temporaryFolder(), "lock.json");
      await writeFile(path, text);
      await (await takeLock(path)).release();
    },
  );

  test("of another computer is left alone, with a way out", async () => {
    const path = join(await temporaryFolder(), "lock.json");
    await writeFile(path, lockOf({ host: "workshop-pc", pid: await endedProcess() }));
    await expect(takeLock(path)).rejects.toThrow(/computer "workshop-pc".*delete ".*lock\.json"/);
    expect(await readFile(path, "utf8")).toContain("workshop-pc");
  });

  test("of many starters at once, on a free or on a stale lock, exactly one gets it", async () => {
    for (const stale of [false, true]) {
      const folder = await temporaryFolder();
      const path = join(folder, "lock.json");
      if (stale) await writeFile(path, lockOf({ pid: await endedProcess() }));
      const outcomes = await Promise.allSettled(Array.from({ length: 12 }, () => takeLock(path)));
      const held = outcomes.flatMap((outcome) => (outcome.status === "fulfilled" ? [outcome.value] : []));
      expect(held).toHaveLength(1);
      await held[0].release();
      expect(await readdir(folder)).toEqual([]);
    }
  });

  test("a release after another has taken over leaves the other's lock", async () => {
    const path = join(await temporaryFolder(), "lock.json");
    const lock = await takeLock(path);
    await writeFile(path, lockOf({ key: "other" }));
    await lock.setAddress("http://127.0.0.1:1");
    await lock.release();
    expect(JSON.parse(await readFile(path, "utf8"))).toMatchObject({ key: "other" });
  });
});
