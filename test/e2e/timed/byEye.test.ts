import { expect, test } from "vitest";
import { cellNamed, textOf } from "../demo.ts";
import { atRest, openPage } from "../harness.ts";
import { slowness } from "./yardstick.ts";

const limitMs = 100;

test(`a word about a panel is answered within ${limitMs} ms`, async () => {
  const { page, problems } = await openPage("/?notebook=no-instrument", {
    width: 820,
    height: 1180,
    hasTouch: true,
  });
  const cell = cellNamed(page, "The seat pad, by eye");
  await expect.poll(() => textOf(cell)).toContain("After 2 panels");
  await atRest(page);
  const machine = await slowness(page);
  const verdict = cell.locator(".verdict").first();
  const times: number[] = [];
  for (const [group, word] of [
    ["Lightness", "clearly lighter"],
    ["Strength", "slightly duller"],
    ["Hue", "hardly bluer"],
    ["Hue", "clearly bluer"],
    ["Lightness", "hardly lighter"],
  ]) {
    const button = cell
      .getByRole("group", { name: new RegExp(`^${group}`) })
      .getByRole("button", { name: word, exact: true });
    const view = await verdict.elementHandle();
    times.push(
      await button.evaluate(async (element, told) => {
        const before = told!.textContent;
        const start = performance.now();
        (element as HTMLElement).click();
        while (told!.textContent === before) await new Promise(requestAnimationFrame);
        return performance.now() - start;
      }, view),
    );
    await atRest(page);
  }
  times.sort((p, q) => p - q);
  console.log(
    `a word answered after ${times.map((ms) => ms.toFixed(0)).join(", ")} ms on a machine ${machine.toFixed(1)} times slower`,
  );
  expect(times[2]).toBeLessThan(limitMs * machine);
  expect(problems).toEqual([]);
});
