import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { expect } from "vitest";
import type { NotebookDocument } from "../../src/document/notebook.ts";
import { cellNamed } from "./demo.ts";

/** A notebook of a note and some parts, which compute at once and need nothing. */
export function smallNotebook(
  title: string,
  parts: readonly string[] = ["Seat", "Bolster"],
): NotebookDocument {
  return {
    format: "bole-notebook",
    version: 2,
    title,
    cells: [
      { id: "note", kind: "note", title: "Note", parameters: { text: "Hello" }, inputs: {} },
      ...parts.map((part, index) => ({
        id: `part-${index}`,
        kind: "substrate",
        title: part,
        parameters: { grey: 20, count: 1 },
        inputs: {},
      })),
    ],
  };
}

export const fileOf = (folder: string, name: string) => join(folder, `${name}.bole.json`);

export async function putNotebook(folder: string, name: string, document: NotebookDocument): Promise<void> {
  await writeFile(fileOf(folder, name), `${JSON.stringify(document, null, 1)}\n`);
}

export async function readNotebook(folder: string, name: string): Promise<NotebookDocument> {
  return JSON.parse(await readFile(fileOf(folder, name), "utf8"));
}

/** The settings of a cell as they are in the file. */
export async function saved(folder: string, name: string, id: string): Promise<Record<string, unknown>> {
  const { cells } = await readNotebook(folder, name);
  return { ...cells.find((cell) => cell.id === id)?.parameters };
}

/** Wait until the page says that all is saved. */
export async function allSaved(page: Page): Promise<void> {
  await expect.poll(() => page.locator(".saved").innerText(), { timeout: 30_000 }).toContain("Saved");
}

const countOf = (page: Page, part: string) => cellNamed(page, part).getByLabel("How many", { exact: true });

/** Set how many of a part there are, as a person does. */
export async function setCount(page: Page, part: string, count: number): Promise<void> {
  // A window behind another may draw no frames, and typing waits for them.
  await page.bringToFront();
  await countOf(page, part).fill(String(count));
  await countOf(page, part).press("Enter");
}

/** How many of a part the page shows. */
export const countShown = (page: Page, part: string): Promise<string> => countOf(page, part).inputValue();
