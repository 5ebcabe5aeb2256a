import { html, render } from "lit";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import "../../../src/controls/colourInput.ts";
import type { BoleMessage } from "../../../src/controls/boleMessage.ts";
import type { ColourInput } from "../../../src/controls/colourInput.ts";
import type { RunRequest } from "../../../src/controls/longReading.ts";
import { readColoursTask } from "../../../src/exchange/longTasks.ts";
import { previewOf } from "../../../src/exchange/preview.ts";
import { readColourFile } from "../../../src/exchange/readColourFile.ts";
import { runTask, sharedPool } from "../../../src/workers/pool.ts";

/** Spectra in CSV, of about so many signs. */
function spectraText(size: number): string {
  const grid = Array.from({ length: 351 }, (_, i) => 380 + i);
  const row = grid.map((nm) => (0.4 + nm / 10_000).toFixed(4)).join(",");
  const rows = Array.from(
    { length: Math.min(900, Math.ceil(size / row.length)) },
    (_, i) => `part ${i},${row}`,
  );
  return `sample,${grid.join(",")}\n${rows.join("\n")}\n`;
}

let place: HTMLElement;
let asked: { task: string; result: unknown }[];
let inPlace: number;

beforeEach(() => {
  asked = [];
  inPlace = 0;
  place = document.body.appendChild(document.createElement("main"));
  place.addEventListener("bole-run", ((event: CustomEvent<RunRequest>) => {
    event.detail.runBy(async (task, args, options) => {
      const result = await runTask(task, args, options);
      asked.push({ task: task.name, result });
      return result;
    });
  }) as EventListener);
});
afterEach(() => {
  render(html``, place);
  place.remove();
});

async function shown(): Promise<ColourInput> {
  const readFile = async (name: string, text: string) => {
    inPlace++;
    return readColourFile(name, text);
  };
  render(
    html`<bole-colour-input .reader=${{ task: readColoursTask, inPlace: readFile }} .preview=${previewOf}></bole-colour-input>`,
    place,
  );
  const control = place.querySelector<ColourInput>("bole-colour-input")!;
  await control.updateComplete;
  return control;
}
const give = (control: ColourInput, name: string, text: string) =>
  control
    .shadowRoot!.querySelector("bole-file")!
    .dispatchEvent(new CustomEvent("file", { detail: { name, text } }));
const words = (control: ColourInput) => control.shadowRoot!.textContent!.replace(/\s+/g, " ");

describe("reading files", { timeout: 60_000 }, () => {
  test("a long one is read beside the page, with progress, and gives what reading in place gives", async () => {
    sharedPool().warmUp();
    const control = await shown();
    const text = spectraText(600_000);
    give(control, "long.csv", text);
    await control.updateComplete;
    expect(words(control)).toContain("Reading long.csv");
    expect(control.shadowRoot!.querySelector("progress")!.getAttribute("aria-label")).toBe(
      "Reading long.csv",
    );
    expect(inPlace).toBe(0);
    await expect.poll(() => asked.map(({ task }) => task), { timeout: 20_000 }).toEqual(["read-colours"]);
    const found = asked[0].result;
    // identity: the same reader, in a worker and here
    expect(found).toEqual(readColourFile("long.csv", text));
    await expect
      .poll(() => words(control))
      .toContain(`long.csv holds ${(found as { samples: [] }).samples.length}`);
    expect(words(control)).not.toContain("Reading long.csv");
  });

  test("it can be stopped, says so, and the next file is read", async () => {
    const control = await shown();
    give(control, "long.csv", spectraText(600_000));
    await control.updateComplete;
    [...control.shadowRoot!.querySelectorAll("button")].find((one) => one.textContent === "Stop")!.click();
    const message = () => control.shadowRoot!.querySelector<BoleMessage>("bole-message")?.text;
    await expect.poll(message).toBe("The reading of long.csv was stopped");
    give(control, "other.csv", spectraText(400_000));
    await expect.poll(() => words(control), { timeout: 20_000 }).toContain("other.csv holds");
    expect(message()).toBeUndefined();
  });

  test("what is wrong with a long one is told in the reader's words", async () => {
    const control = await shown();
    give(control, "digits.csv", `nm,red\n380,${"1".repeat(150_000)}x\n${"390,0.4\n".repeat(9000)}`);
    const message = () => control.shadowRoot!.querySelector<BoleMessage>("bole-message")?.text;
    await expect
      .poll(message, { timeout: 20_000 })
      .toMatch(/digits\.csv, row 2, field "red": "1{40}…" is not a number/);
  });

  test("a short one is read in place", async () => {
    const control = await shown();
    give(control, "short.csv", spectraText(9000));
    await expect.poll(() => words(control)).toContain("short.csv holds");
    expect([inPlace, asked.length]).toEqual([1, 0]);
  });
});
