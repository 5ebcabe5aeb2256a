import { mkdtemp, realpath, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { largeNotebook } from "../../bench/largeNotebook.ts";
import { cellNamed } from "../demo.ts";
import { openPage } from "../harness.ts";
import { startRealServer } from "../realServer.ts";
import { allSaved, putNotebook } from "../storagePage.ts";

const cells = 500;
const openLimitMs = 1500;
const undoLimitMs = 16;

test(`a notebook of ${cells} cells opens in under ${openLimitMs / 1000} s, and undo is there within a frame`, async () => {
  const folder = await realpath(await mkdtemp(join(tmpdir(), "bole-e2e-")));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  await putNotebook(folder, "large", largeNotebook(cells));
  const server = await startRealServer({ folder });
  onTestFinished(async () => void (await server.stop()));

  const opening: number[] = [];
  let window: Awaited<ReturnType<typeof openPage>> | undefined;
  // The best of a few: what else this machine does is not the notebook's doing.
  for (let k = 0; k < 3; k++) {
    await window?.close();
    window = await openPage("/?notebook=large", { address: server.address });
    opening.push(
      await window.page.evaluate(
        (count) =>
          new Promise<number>((resolve) => {
            const look = () => {
              const frames = document
                .querySelector("bole-workbench")
                ?.shadowRoot?.querySelectorAll("bole-cell");
              const outcomes = [...(frames ?? [])].map(
                (frame) => (frame as unknown as { outcome?: { status: string } }).outcome?.status,
              );
              const shown = frames?.[0]?.shadowRoot?.querySelector(".body > *");
              if (
                outcomes.length === count &&
                shown &&
                outcomes.every((status) => status && status !== "running")
              )
                resolve(performance.now()); // since the navigation began
              else requestAnimationFrame(look);
            };
            look();
          }),
        cells,
      ),
    );
  }
  const { page, problems } = window!;
  await cellNamed(page, "Banquette seats 1").waitFor();
  const seats = cellNamed(page, "Banquette seats 1").getByLabel("How many", { exact: true });
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
    `${cells} cells: opened, computed and shown after ${opening.map((ms) => ms.toFixed(0)).join(", ")} ms; ` +
      `undo median ${times[2].toFixed(1)} ms (${times[0].toFixed(1)} to ${times[4].toFixed(1)})`,
  );
  expect(Math.min(...opening)).toBeLessThan(openLimitMs);
  expect(times[2]).toBeLessThan(undoLimitMs);
  await allSaved(page);
  expect(problems).toEqual([]);
});
