import { html, type LitElement } from "lit";
import { expect, test } from "vitest";
import "../../../src/controls/colourInput.ts";
import type { BoleMessage } from "../../../src/controls/boleMessage.ts";
import type { ColourRequest, ColourShelf } from "../../../src/controls/colourAtHand.ts";
import type { ColourInput, TakenColours } from "../../../src/controls/colourInput.ts";
import type { HabitRequest, HabitShelf } from "../../../src/controls/habitChooser.ts";
import type { ColourSample } from "../../../src/exchange/colourSample.ts";
import { colourReader, typedLab } from "../../../src/exchange/lazyReaders.ts";
import { previewOf } from "../../../src/exchange/preview.ts";
import type { ReadingHabit } from "../../../src/tables/readingHabit.ts";
import { heard, inside, place, show } from "./shown.ts";

const nm = Array.from({ length: 31 }, (_, i) => 400 + 10 * i);
const values = nm.map((x) => Number((0.1 + 0.5 / (1 + Math.exp((580 - x) / 30))).toFixed(4)));
/** A column of words that nobody meant as a sample, below a title. */
const csv = `Report of the seat\nnm;seat;remark\n${nm.map((x, i) => `${x};${values[i]};ok`).join("\n")}\n`;

class Shelf extends EventTarget implements HabitShelf {
  habits: ReadingHabit[] = [];
  usual = "";
  async keep(habit: ReadingHabit): Promise<void> {
    this.habits = [...this.habits.filter(({ name }) => name !== habit.name), habit];
    this.dispatchEvent(new Event("change"));
  }
}

async function shown(shelf?: Shelf) {
  place.addEventListener("bole-habits", (event) => {
    if (shelf) (event as CustomEvent<HabitRequest>).detail.use(shelf);
  });
  const input = await show<ColourInput>(
    html`<bole-colour-input .reader=${colourReader} .readText=${typedLab} .preview=${previewOf}></bole-colour-input>`,
  );
  return { input, taken: heard<TakenColours<ColourSample>>(input, "colours") };
}

const give = (input: ColourInput, text: string) =>
  inside(input, "bole-file").dispatchEvent(new CustomEvent("file", { detail: { name: "export.csv", text } }));
const preview = (input: ColourInput) => inside(input, "bole-table-preview");
const type = (input: ColourInput, text: string) => {
  inside(input, "bole-text").dispatchEvent(new CustomEvent("input", { detail: { value: text } }));
  return input.updateComplete.then(() =>
    [...input.shadowRoot!.querySelectorAll("button")]
      .find(({ textContent }) => textContent === "Read it")!
      .click(),
  );
};

// identity throughout: what stands in the file is what has to be taken
test("a table that is refused shows how it was taken apart, and is read once a column is left out", async () => {
  const { input, taken } = await shown();
  give(input, csv);
  await expect
    .poll(() => input.shadowRoot!.querySelector<BoleMessage>("bole-message")?.text)
    .toContain('"ok" is not a number');
  await expect.poll(() => preview(input)).toBeTruthy();
  expect(inside<HTMLDetailsElement>(input, "details:has(bole-table-preview)").open).toBe(true);
  const columns = [...preview(input).shadowRoot!.querySelectorAll<HTMLSelectElement>("thead select")];
  expect(columns.map((select) => select.selectedOptions[0].text)).toEqual([
    "wavelengths",
    "readings",
    "readings",
  ]);
  const rows = [...preview(input).shadowRoot!.querySelectorAll<HTMLSelectElement>("tbody select")];
  expect(rows.slice(0, 3).map((select) => select.selectedOptions[0].text)).toEqual([
    "title",
    "names",
    "readings",
  ]);
  columns[2].value = "left out";
  columns[2].dispatchEvent(new Event("change"));
  await expect.poll(() => taken.length).toBe(1);
  expect(taken[0].samples).toMatchObject([{ kind: "spectrum", label: "seat", wavelengths: nm, values }]);
});

test("an instrument is named once and fills in what a typed Lab does not say; its files keep their layout", async () => {
  const shelf = new Shelf();
  const { input, taken } = await shown(shelf);
  const chooser = inside<HTMLElement & { updateComplete: Promise<boolean> }>(input, "bole-habit-chooser");
  expect(chooser.shadowRoot!.textContent).toContain("Name the instrument");
  const set = async (selector: string, event: string, value: string) => {
    inside(chooser, selector).dispatchEvent(new CustomEvent(event, { detail: { value } }));
    await chooser.updateComplete;
  };
  await set("bole-text", "input", "Pocket sensor");
  await set('bole-choice[label="Its light"]', "change", "D65");
  await set('bole-choice[label="Its observer"]', "change", "1931-2");
  await set('bole-choice[label="Its surface reflection"]', "change", "excluded");
  inside<HTMLButtonElement>(chooser, "button").click();
  await expect.poll(() => shelf.habits.length).toBe(1);
  await type(input, "38.5 49 27");
  await expect.poll(() => taken.length).toBe(1);
  expect(taken[0].samples).toMatchObject([
    { kind: "Lab", Lab: [38.5, 49, 27], illuminant: "D65", observer: "1931-2", specular: "excluded" },
  ]);
  expect(taken[0].habit?.name).toBe("Pocket sensor");

  give(input, csv);
  await expect.poll(() => input.shadowRoot!.querySelector("bole-table-preview")).toBeTruthy();
  const [, , remark] = preview(input).shadowRoot!.querySelectorAll<HTMLSelectElement>("thead select");
  remark.value = "left out";
  remark.dispatchEvent(new Event("change"));
  await expect.poll(() => shelf.habits[0].layout?.columns).toEqual({ 2: "left out" });
  await expect.poll(() => taken.length).toBe(2);
  // The next file of this instrument is read without a press.
  give(input, csv.replace("the seat", "the lid"));
  await expect.poll(() => taken.length).toBe(3);
  expect(taken[2].samples).toMatchObject([{ kind: "spectrum", specular: "excluded", values }]);
});

test("the habit of the job counts where nobody chose one; what a reading says stands against it", async () => {
  const shelf = new Shelf();
  await shelf.keep({ name: "A", illuminant: "A", observer: "1964-10", specular: "included" });
  await shelf.keep({ name: "B", illuminant: "D50", observer: "1931-2", specular: "excluded" });
  shelf.usual = "B";
  const { input, taken } = await shown(shelf);
  await type(input, "40 10 10 (D65/10°)");
  await expect.poll(() => taken.length).toBe(1);
  expect(taken[0].samples).toMatchObject([{ illuminant: "D65", observer: "1964-10", specular: "excluded" }]);
});

test("a black tells of an instrument of which nobody knew; it is said, and kept", async () => {
  const shelf = new Shelf();
  await shelf.keep({ name: "Old one", illuminant: "D65", observer: "1964-10", specular: "unknown" });
  const { input, taken } = await shown(shelf);
  await type(input, "44 44 24");
  await expect.poll(() => taken.length).toBe(1);
  expect(taken[0].samples[0].specular).toBeUndefined();
  await type(input, "15 0.5 0");
  await expect.poll(() => taken.length).toBe(2);
  expect(taken[1].samples[0].specular).toBe("excluded");
  expect(shelf.habits[0].specular).toBe("excluded");
  expect(inside<BoleMessage>(input, "bole-message").text).toContain(
    "Old one leaves the surface reflection out",
  );
});

test("without a place where habits are kept nothing is asked", async () => {
  const { input } = await shown();
  expect(inside(input, "bole-habit-chooser").shadowRoot!.textContent!.trim()).toBe("");
});

test("a colour at hand is taken as it is known, and not as read with the instrument chosen here", async () => {
  const shelf = new Shelf();
  await shelf.keep({ name: "Pocket sensor", illuminant: "D50", observer: "1931-2", specular: "excluded" });
  const known = {
    kind: "Lab",
    label: "Seat",
    Lab: [40, 30, 20],
    illuminant: "A",
    observer: "1964-10",
  } as const;
  const colours: ColourShelf = {
    list: async () => [
      {
        label: "photograph “Seat”",
        read: async () => ({ form: "known", samples: [known], assumptions: ["likely"] }),
      },
      { label: "library: target “Lost”", read: () => Promise.reject(new Error("Lost: it has no colour")) },
    ],
    photograph: async () => {},
  };
  place.addEventListener("bole-colours", (event) =>
    (event as CustomEvent<ColourRequest>).detail.use(colours),
  );
  const { input, taken } = await shown(shelf);
  const atHand = inside<LitElement>(input, "bole-colour-at-hand");
  await expect.poll(() => atHand.shadowRoot?.querySelector("details")).toBeTruthy();
  atHand.shadowRoot!.querySelector("details")!.open = true;
  const choose = async (value: string) => {
    await expect.poll(() => atHand.shadowRoot!.querySelector("bole-choice")).toBeTruthy();
    atHand
      .shadowRoot!.querySelector("bole-choice")!
      .dispatchEvent(new CustomEvent("change", { detail: { value } }));
  };
  await choose("1");
  await expect
    .poll(() => input.shadowRoot!.querySelector<BoleMessage>("bole-message")?.text)
    .toBe("Lost: it has no colour");
  await choose("0");
  await expect.poll(() => taken.length).toBe(1);
  expect(taken[0]).toMatchObject({ samples: [known], assumptions: ["likely"], from: "photograph “Seat”" });
  expect(taken[0].habit).toBeUndefined();
});
