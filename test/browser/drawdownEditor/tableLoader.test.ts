import { html } from "lit";
import { expect, test } from "vitest";
import "../../../src/drawdownEditor/tableLoader.ts";
import type { BoleMessage } from "../../../src/controls/boleMessage.ts";
import type { TableLoader } from "../../../src/drawdownEditor/tableLoader.ts";
import type { ReadTable } from "../../../src/drawdowns/tableFile.ts";
import { heard, inside, show } from "../controls/shown.ts";

/** Invented, with no word on what the amounts were measured by. */
const colours = [
  "label,ground,amount of paste,amount of pw6,dry_um,L*,a*,b*",
  "bare card,black,,,,25.9,0.1,-0.1",
  "bare card,white,,,,92.7,-0.4,1.2",
  "let-down,black,1,20,9.4,74.2,1.3,-2.0",
  "let-down,white,1,20,9.4,90.0,6.0,-4.5",
  "",
].join("\n");

async function shown() {
  const loader = await show<TableLoader>(
    html`<bole-table-loader paste="Rose" kind="colours"></bole-table-loader>`,
  );
  return { loader, read: heard<ReadTable>(loader, "bole-read") };
}

const give = (loader: TableLoader, text: string) =>
  inside(loader, "bole-file").dispatchEvent(
    new CustomEvent("file", { detail: { name: "films.csv", text }, bubbles: true }),
  );
const pressed = (loader: Element, words: string) =>
  [...loader.shadowRoot!.querySelectorAll("button")].find(({ textContent }) => textContent!.trim() === words);

// identity: what was answered is what the films are taken by
test("amounts that nobody called weighed or measured are asked for by a press, and the table is read then", async () => {
  const { loader, read } = await shown();
  give(loader, colours);
  await expect.poll(() => pressed(loader, "Weighed (g)")).toBeTruthy();
  expect(read).toEqual([]);
  expect(loader.shadowRoot!.textContent).not.toContain("What was loaded before stays");
  pressed(loader, "Weighed (g)")!.click();
  await expect.poll(() => read.length).toBe(1);
  const { kept } = read[0];
  if (kept.source !== "colours") throw new Error("spectra");
  expect(kept.colours.films).toMatchObject([{ label: "let-down", basis: "mass", amounts: [1, 20] }]);
  expect(kept.colours.bare).toHaveLength(2);
});

test("a table that is refused names the row and shows how it was taken apart", async () => {
  const { loader, read } = await shown();
  give(loader, `# basis: mass\nFilms of Rose;;\n${colours.replace("74.2", "pale").replaceAll(",", ";")}`);
  await expect
    .poll(() => inside<BoleMessage>(loader, 'bole-message[kind="error"]')?.text)
    .toContain('row 6, field "L*": "pale" is not a number');
  expect(inside<HTMLDetailsElement>(loader, "details:has(bole-table-preview)").open).toBe(true);
  expect(read).toEqual([]);
});

test("an empty table is saved for the readings that are chosen, and its layout stands beside the button", async () => {
  const { loader } = await shown();
  const fill = inside(loader, "bole-table-to-fill");
  expect(fill.shadowRoot!.textContent).toContain("How the table is laid out");
  let saved: Blob | undefined;
  const make = URL.createObjectURL;
  URL.createObjectURL = (blob: Blob | MediaSource) => {
    saved = blob as Blob;
    return make(blob);
  };
  try {
    pressed(fill, "Save an empty table to fill in (CSV)")!.click();
  } finally {
    URL.createObjectURL = make;
  }
  const text = await saved!.text();
  expect(text).toContain("# paste: Rose");
  expect(text).toMatch(/^label,ground,specular,basis,amount of paste,dry_um,wet_um,gap_um,L\*,a\*,b\*$/m);
});
