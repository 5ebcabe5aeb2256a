import { mkdtemp, realpath, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { largeNotebook } from "../../bench/largeNotebook.ts";
import { unfolded } from "../demo.ts";
import { openPage } from "../harness.ts";
import { startRealServer } from "../realServer.ts";
import { allSaved, putNotebook } from "../storagePage.ts";
import { slowness } from "./yardstick.ts";

const cells = 500;
const fewCells = 5;
/** What 1.5 s are on a machine that opens the few cells in 0.3 s. */
const timesAsLong = 5;
const undoLimitMs = 16;

/** Opens a notebook in a window of its own; ms from the navigation until all of its cells are computed and the first is shown. */
async function opening(address: string, name: string, count: number) {
  const window = await openPage(`/?notebook=${name}`, { address });
  const ms = await window.page.evaluate(
    (count) =>
      new Promise<number>((resolve) => {
        const look = () => {
          const frames = document.querySelector("bole-workbench")?.shadowRoot?.querySelectorAll("bole-cell");
          const outcomes = [...(frames ?? [])].map(
            (frame) => (frame as unknown as { outcome?: { status: string } }).outcome?.status,
          );
          const shown = frames?.[0]?.shadowRoot?.querySelector(".body > *");
          if (
            outcomes.length === count &&
            shown &&
            outcomes.every((status) => status && status !== "running")
          )
            resolve(performance.now());
          else requestAnimationFrame(look);
        };
        look();
      }),
    count,
  );
  return { window, ms };
}

test(`a notebook of ${cells} cells opens in at most ${timesAsLong} times what one of ${fewCells} takes, and undo is there within a frame`, async () => {
  const folder = await realpath(await mkdtemp(join(tmpdir(), "bole-e2e-")));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  await putNotebook(folder, "large", largeNotebook(cells));
  await putNotebook(folder, "small", largeNotebook(fewCells));
  const server = await startRealServer({ folder });
  onTestFinished(async () => void (await server.stop()));

  // The best of a few, by turns: what else this machine does is not the notebook's doing.
  const small: number[] = [];
  const large: number[] = [];
  let window: Awaited<ReturnType<typeof openPage>> | undefined;
  for (let k = 0; k < 4; k++) {
    await window?.close();
    const few = await opening(server.address, "small", fewCells);
    await few.window.close();
    const many = await opening(server.address, "large", cells);
    window = many.window;
    if (k === 0) continue; // the server's own first time
    small.push(few.ms);
    large.push(many.ms);
  }
  const { page, problems } = window!;
  const seats = (await unfolded(page, "Banquette seats 1")).getByLabel("How many", { exact: true });
  const times: number[] = [];
  for (let k = 0; k < 5; k++) {
    await seats.fill(String(20 + k));
    await seats.press("Enter");
    await expect.poll(() => seats.inputValue()).toBe(String(20 + k));
    await page.evaluate(() => new Promise(requestAnimationFrame));
    times.push(
      await page.evaluate(async () => {
        const workbench = document.querySelector("bole-workbench") as HTMLElement & {
          updateComplete: Promise<void>;
        };
        const start = performance.now();
        dispatchEvent(new KeyboardEvent("keydown", { key: "z", ctrlKey: true, cancelable: true }));
        await workbench.updateComplete;
        await Promise.resolve();
        return performance.now() - start;
      }),
    );
    await expect.poll(() => seats.inputValue()).toBe("9");
  }
  times.sort((a, b) => a - b);
  console.log(
    `${cells} cells: opened, computed and shown after ${large.map((ms) => ms.toFixed(0)).join(", ")} ms, ` +
      `${fewCells} cells after ${small.map((ms) => ms.toFixed(0)).join(", ")} ms; ` +
      `undo median ${times[2].toFixed(1)} ms (${times[0].toFixed(1)} to ${times[4].toFixed(1)})`,
  );
  expect(Math.min(...large) / Math.min(...small)).toBeLessThan(timesAsLong);
  expect(times[2]).toBeLessThan(undoLimitMs * (await slowness(page)));
  await allSaved(page);
  expect(problems).toEqual([]);
});
