import { mkdtemp, readdir, readFile, realpath, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { describe, expect, onTestFinished, test } from "vitest";
import { cellNamed, textOf } from "./demo.ts";
import { accessibilityFaults, openPage } from "./harness.ts";
import { type RealServer, startRealServer } from "./realServer.ts";
import {
  allSaved,
  countShown,
  fileOf,
  putNotebook,
  readNotebook,
  saved,
  setCount,
  smallNotebook,
} from "./storagePage.ts";

/** A server on a folder of its own that outlives it. */
async function startOn(folder: string, port = "0"): Promise<RealServer> {
  const server = await startRealServer({ folder, args: ["--port", port] });
  onTestFinished(async () => void (await server.stop()));
  return server;
}

/** A server with one small notebook "small". */
async function started(): Promise<RealServer> {
  const folder = await realpath(await mkdtemp(join(tmpdir(), "bole-e2e-")));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  await putNotebook(folder, "small", smallNotebook("Small"));
  return startOn(folder);
}

/** Another window of the same browser. */
async function anotherWindow(page: Page, address: string, path = "/?notebook=small"): Promise<Page> {
  const other = await page.context().newPage();
  await other.goto(address + path);
  await cellNamed(other, "Seat").waitFor();
  return other;
}

async function openSmall(server: RealServer) {
  const window = await openPage("/?notebook=small", { address: server.address });
  await cellNamed(window.page, "Seat").waitFor();
  return window;
}

/** Do not wait for the next try, unless it is being made just now. */
const tryNow = (page: Page) =>
  page
    .getByRole("button", { name: "Try now" })
    .click({ timeout: 1000 })
    .catch(() => undefined);
const undoButton = (page: Page) => page.getByRole("button", { name: /^Undo/ });
const redoButton = (page: Page) => page.getByRole("button", { name: /^Do again/ });

describe("undo and redo", () => {
  test("by key and by button, of every kind of change, also after a reload", async () => {
    const server = await started();
    const { page, problems } = await openSmall(server);
    await setCount(page, "Seat", 7);
    await cellNamed(page, "Seat").getByLabel("Title of this cell").fill("Bench");
    await cellNamed(page, "Seat").getByLabel("Title of this cell").press("Enter");
    await cellNamed(page, "Bench").waitFor();
    const bolster = cellNamed(page, "Bolster");
    await bolster.getByRole("button", { name: "More for Bolster" }).click();
    await bolster.getByRole("button", { name: "Remove…" }).click();
    await bolster.getByRole("button", { name: "Remove it" }).click();
    await expect.poll(() => bolster.count()).toBe(0);

    await page.keyboard.press("Control+z");
    await bolster.waitFor();
    await page.keyboard.press("Control+z");
    await cellNamed(page, "Seat").waitFor();
    expect(await undoButton(page).getAttribute("aria-label")).toBe("Undo: settings of “Seat”");
    await undoButton(page).click();
    await expect.poll(() => countShown(page, "Seat")).toBe("1");
    expect(await undoButton(page).isDisabled()).toBe(true);
    await allSaved(page);

    await page.reload();
    await cellNamed(page, "Seat").waitFor();
    for (let k = 0; k < 3; k++) await page.keyboard.press("Control+Shift+Z");
    await cellNamed(page, "Bench").waitFor();
    await expect.poll(() => bolster.count()).toBe(0);
    expect(await countShown(page, "Bench")).toBe("7");
    expect(await redoButton(page).isDisabled()).toBe(true);
    await allSaved(page);
    expect((await readNotebook(server.folder, "small")).cells.map(({ title }) => title)).toEqual([
      "Note",
      "Bench",
    ]);
    expect(problems).toEqual([]);
  });

  test("one drag is one step; text that is being typed keeps the keys for itself", async () => {
    const { page, problems } = await openPage("/?notebook=the-lantern-room");
    const blend = cellNamed(page, "Ground under the red");
    const slider = blend.getByRole("slider").first();
    await slider.scrollIntoViewIfNeeded();
    const before = await slider.inputValue();
    const box = await slider.boundingBox();
    if (!box) throw new Error("the slider has no place");
    const y = box.y + box.height / 2;
    await page.mouse.move(box.x + box.width * 0.5, y);
    await page.mouse.down();
    for (let k = 0; k < 12; k++) await page.mouse.move(box.x + box.width * (0.5 + 0.02 * k), y);
    await page.mouse.up();
    await expect.poll(() => slider.inputValue()).not.toBe(before);
    await page.keyboard.press("Control+z");
    await expect.poll(() => slider.inputValue()).toBe(before);

    const title = page.getByLabel("Title of the notebook");
    const first = await title.inputValue();
    await title.focus();
    await page.keyboard.press("End");
    await page.keyboard.type("abc");
    await page.keyboard.press("Control+z");
    await page.keyboard.press("Escape");
    expect((await title.inputValue()).length).toBeLessThan(first.length + 3);
    expect(await slider.inputValue()).toBe(before);
    expect(problems).toEqual([]);
  });

  test("a note is saved while it is typed, and one undo takes the typing back", async () => {
    const server = await started();
    const { page, problems } = await openSmall(server);
    const note = cellNamed(page, "Note");
    await note.getByRole("button", { name: "Edit the note" }).click();
    await note.getByRole("textbox", { name: "Text" }).fill("");
    await note.getByRole("textbox", { name: "Text" }).pressSequentially("Written without a pause");
    await expect
      .poll(() => saved(server.folder, "small", "note"), { timeout: 10_000 })
      .toEqual({ text: "Written without a pause" });
    await note.getByRole("button", { name: "Done" }).click();
    await page.keyboard.press("Control+z");
    await expect.poll(() => textOf(note)).toContain("Hello");
    expect(problems).toEqual([]);
  });

  test("undo, redo and the state of saving stay in sight when the page is scrolled", async () => {
    const { page, problems } = await openPage("/?notebook=the-lantern-room", { width: 390, height: 800 });
    await page.locator("bole-panels .figure").first().waitFor();
    await page.mouse.wheel(0, 5000);
    await expect.poll(() => page.evaluate(() => scrollY)).toBeGreaterThan(1000);
    for (const shown of [page.locator(".saved"), undoButton(page), redoButton(page)]) {
      await expect
        .poll(async () => {
          const box = await shown.boundingBox();
          return (
            box !== null && box.y >= 0 && box.y + box.height <= 800 && box.x >= 0 && box.x + box.width <= 390
          );
        })
        .toBe(true);
    }
    expect(problems).toEqual([]);
  });
});

describe("when the server is away", () => {
  test("what is done meanwhile is kept, through a closed window, and saved when it returns", async () => {
    const server = await started();
    const port = new URL(server.address).port;
    const { page } = await openSmall(server);
    await setCount(page, "Seat", 2);
    await allSaved(page);
    await server.stop("SIGKILL");
    await setCount(page, "Seat", 3);
    await expect.poll(() => page.locator(".saved").innerText()).toContain("Not saved");
    await expect
      .poll(() => page.getByRole("alert").innerText())
      .toMatch(/does not answer\. Your changes are kept in this browser/);
    expect(await accessibilityFaults(page)).toEqual([]);
    const back = await startOn(server.folder, port);
    await tryNow(page);
    await allSaved(page);
    expect(await saved(server.folder, "small", "part-0")).toMatchObject({ count: 3 });

    await back.stop("SIGKILL");
    await setCount(page, "Seat", 4);
    await setCount(page, "Bolster", 5);
    await expect.poll(() => page.locator(".saved").innerText()).toContain("Not saved");
    const context = page.context();
    await page.close();
    await startOn(server.folder, port);
    // Another program has been there meanwhile.
    const outside = await readNotebook(server.folder, "small");
    await putNotebook(server.folder, "small", { ...outside, title: "Renamed outside" });
    const fresh = await context.newPage();
    await fresh.goto(`${server.address}/?notebook=small`);
    await expect.poll(() => countShown(fresh, "Seat")).toBe("4");
    await allSaved(fresh);
    await expect.poll(() => saved(server.folder, "small", "part-1")).toMatchObject({ count: 5 });
    expect(await saved(server.folder, "small", "part-0")).toMatchObject({ count: 4 });
    expect((await readNotebook(server.folder, "small")).title).toBe("Renamed outside");
  });
});

describe("two windows on one notebook", () => {
  test("the later one is told; changes go across; one cell changed in both is asked about", async () => {
    const server = await started();
    const { page: first, problems } = await openSmall(server);
    const second = await anotherWindow(first, server.address);
    await expect.poll(() => textOf(second.locator("bole-save-bar"))).toContain("also open in another window");
    await setCount(first, "Seat", 2);
    await expect.poll(() => countShown(second, "Seat")).toBe("2");
    await setCount(second, "Bolster", 3);
    await expect.poll(() => countShown(first, "Bolster")).toBe("3");
    await allSaved(first);
    await allSaved(second);
    expect(problems).toEqual([]);

    // The first window cannot be reached by news while its changes wait, as with a laptop that sleeps.
    await second.route("**/api/**", (route) => route.abort());
    await setCount(second, "Seat", 20);
    await setCount(second, "Bolster", 30);
    await expect.poll(() => second.locator(".saved").innerText()).toContain("Not saved");
    await setCount(first, "Seat", 10);
    await allSaved(first);
    await second.unroute("**/api/**");
    await tryNow(second);
    await expect.poll(() => second.locator(".saved").innerText()).toContain("changed elsewhere");
    expect(await saved(server.folder, "small", "part-0")).toMatchObject({ count: 10 });
    // A window behind another may draw no frames, and a press waits for two.
    await second.bringToFront();
    await second.getByRole("button", { name: "Bring both together…" }).click();
    const dialogue = second.getByRole("dialog", { name: "Bring both together" });
    const seat = dialogue.getByRole("group", { name: "Seat" });
    expect(await seat.innerText()).toMatch(
      /As it is here: How many 2 → 20[\s\S]*As it is there: How many 2 → 10/,
    );
    await seat.getByLabel("Keep both cells").check();
    expect(await accessibilityFaults(second)).toEqual([]);
    await dialogue.getByRole("button", { name: "Bring together" }).click();
    await allSaved(second);
    const { cells } = await readNotebook(server.folder, "small");
    expect(cells.map(({ title, parameters }) => [title, parameters.count])).toEqual([
      ["Note", undefined],
      ["Seat", 20],
      ["Seat (other version)", 10],
      ["Bolster", 30],
    ]);
    await cellNamed(first, "Seat (other version)").waitFor();
  });

  test("or both states become notebooks of their own", async () => {
    const server = await started();
    const { page: first } = await openSmall(server);
    const second = await anotherWindow(first, server.address);
    await second.route("**/api/**", (route) => route.abort());
    await setCount(second, "Seat", 20);
    await expect.poll(() => second.locator(".saved").innerText()).toContain("Not saved");
    await setCount(first, "Seat", 10);
    await allSaved(first);
    await second.unroute("**/api/**");
    await tryNow(second);
    // A window behind another may draw no frames, and a press waits for two.
    await second.bringToFront();
    await second.getByRole("button", { name: "Bring both together…" }).click();
    await second.getByRole("button", { name: "Keep both as two notebooks" }).click();
    await expect.poll(() => second.url()).toMatch(/notebook=small-other-version/);
    await expect.poll(() => countShown(second, "Seat")).toBe("20");
    expect(await saved(server.folder, "small", "part-0")).toMatchObject({ count: 10 });
    expect(await saved(server.folder, "small-other-version", "part-0")).toMatchObject({ count: 20 });
  });
});

describe("files that others change", () => {
  test("an edit appears at once; a file that was cut short is not taken in; earlier states bring it back", async () => {
    const server = await started();
    const { page } = await openSmall(server);
    await setCount(page, "Seat", 5);
    await allSaved(page);
    const text = await readFile(fileOf(server.folder, "small"), "utf8");
    await writeFile(fileOf(server.folder, "small"), text.replace('"count": 5', '"count": 6'));
    await expect.poll(() => countShown(page, "Seat")).toBe("6");
    await expect
      .poll(() => textOf(page.locator("bole-save-bar")))
      .toContain("Changed elsewhere and taken in here: settings of “Seat”");

    await writeFile(fileOf(server.folder, "small"), text.slice(0, text.length / 2));
    await expect.poll(() => page.getByRole("alert").innerText()).toMatch(/no notebook any more/);
    expect(await countShown(page, "Seat")).toBe("6");
    const context = page.context();
    await page.close();
    const again = await context.newPage();
    await again.goto(`${server.address}/?notebook=small`);
    await again.getByRole("heading", { name: "This notebook could not be opened" }).waitFor();
    await again
      .getByRole("button", { name: /^Go back to/ })
      .nth(0)
      .waitFor();
    // The newest kept state is the broken text only if something has saved over it; nothing has.
    await again
      .getByRole("button", { name: /^Go back to/ })
      .first()
      .click();
    await cellNamed(again, "Seat").waitFor();
    expect(["5", "6"]).toContain(await countShown(again, "Seat"));
    await allSaved(again);
    JSON.parse(await readFile(fileOf(server.folder, "small"), "utf8"));
  });
});

describe("the notebook menu", () => {
  test("renames, copies, deletes to the bin, brings back, writes a file and takes one in", async () => {
    const server = await started();
    const { page, problems } = await openSmall(server);
    await setCount(page, "Seat", 9);
    await page.getByRole("button", { name: "Notebooks" }).click();
    await page.getByRole("button", { name: "Rename the file…" }).click();
    await page.getByLabel(/Name of the file/).fill("front room");
    await page.getByRole("button", { name: "Rename it" }).click();
    await expect.poll(() => page.url()).toMatch(/notebook=front%20room/);
    await expect.poll(() => countShown(page, "Seat")).toBe("9");
    expect(await undoButton(page).isEnabled()).toBe(true);
    expect((await readdir(server.folder)).filter((name) => /small|front/.test(name))).toEqual([
      "front room.bole.json",
    ]);

    await page.getByRole("button", { name: "Notebooks" }).click();
    const download = page.waitForEvent("download");
    await page.getByRole("button", { name: "Save as a file" }).click();
    const path = await (await download).path();
    expect(JSON.parse(await readFile(path, "utf8"))).toEqual(await readNotebook(server.folder, "front room"));

    await page.getByRole("button", { name: "Delete…" }).click();
    await page.getByRole("button", { name: "Move it to the bin" }).click();
    await expect.poll(() => page.url()).not.toMatch(/front/);
    await stat(fileOf(server.folder, "front room")).then(
      () => expect.unreachable(),
      () => undefined,
    );
    await page.getByText("All notebooks, and notebooks from files").click();
    await page.getByRole("button", { name: "Bin", exact: true }).click();
    await page.getByRole("button", { name: "Bring front room back" }).click();
    await expect.poll(() => page.url()).toMatch(/notebook=front%20room/);
    await expect.poll(() => countShown(page, "Seat")).toBe("9");

    await page.getByRole("button", { name: "Notebooks" }).click();
    await page
      .locator("bole-notebooks bole-file input[type=file]")
      .first()
      .setInputFiles({
        name: "brought.json",
        mimeType: "application/json",
        buffer: await readFile(path),
      });
    await expect.poll(() => page.url()).toMatch(/notebook=small(-2)?$/);
    expect(problems).toEqual([]);
  });

  test("earlier states: which cells differ, and back to one, which can be undone", async () => {
    const server = await started();
    const { page, problems } = await openSmall(server);
    await setCount(page, "Seat", 2);
    await allSaved(page);
    await setCount(page, "Seat", 3);
    await allSaved(page);
    await page.getByRole("button", { name: "Notebooks" }).click();
    await page.getByRole("button", { name: "Earlier states" }).click();
    const differs = page.getByRole("button", { name: /^What differs/ });
    await differs.first().waitFor();
    expect(await differs.count()).toBe(3);
    await differs.nth(1).click();
    await expect
      .poll(() => textOf(page.locator("bole-revisions")))
      .toContain("“Seat” then and now: How many 2 → 3");
    expect(await accessibilityFaults(page)).toEqual([]);
    await page
      .getByRole("button", { name: /^Go back to/ })
      .nth(2)
      .click();
    await expect.poll(() => countShown(page, "Seat")).toBe("1");
    await allSaved(page);
    expect(await saved(server.folder, "small", "part-0")).toMatchObject({ count: 1 });
    await page.keyboard.press("Control+z");
    await expect.poll(() => countShown(page, "Seat")).toBe("3");
    await allSaved(page);
    expect(problems).toEqual([]);
  });
});

describe("the library", () => {
  test("a cell kept once is used by another notebook, which is told of a newer version", async () => {
    const server = await started();
    await putNotebook(server.folder, "other", smallNotebook("Other", ["Plinth"]));
    const { page, problems } = await openSmall(server);
    const seat = cellNamed(page, "Seat");
    await setCount(page, "Seat", 9);
    const keep = async (button: RegExp) => {
      await seat.getByRole("button", { name: "More for Seat" }).click();
      await seat.getByRole("button", { name: "Keep in the library" }).click();
      await seat.getByRole("button", { name: button }).click();
    };
    await keep(/^Keep it$/);
    await expect.poll(() => textOf(seat)).toMatch(/From the library: “ ?Seat ?”, version 1/);
    await allSaved(page);
    expect((await readNotebook(server.folder, "small")).cells[1].library).toEqual({
      name: "seat",
      version: 1,
    });

    const other = await page.context().newPage();
    await other.goto(`${server.address}/?notebook=other`);
    await cellNamed(other, "Plinth").waitFor();
    await other.getByRole("button", { name: "Notebooks" }).click();
    await other.getByRole("button", { name: "Library", exact: true }).click();
    await other.getByRole("button", { name: "Put it into this notebook" }).click();
    const taken = cellNamed(other, "Seat");
    await taken.waitFor();
    expect(await countShown(other, "Seat")).toBe("9");

    await setCount(page, "Seat", 11);
    await expect.poll(() => textOf(seat)).toMatch(/version 1 ?, changed here since/);
    await keep(/^Keep as version 2/);
    await expect.poll(() => textOf(seat)).toMatch(/”, version 2/);
    await expect.poll(() => textOf(taken)).toMatch(/Version 2 is there/);
    expect(await countShown(other, "Seat")).toBe("9");
    await taken.getByRole("button", { name: "What differs?" }).click();
    await expect.poll(() => textOf(taken)).toContain("How many 9 → 11");
    expect(await accessibilityFaults(other)).toEqual([]);
    await taken.scrollIntoViewIfNeeded();
    await taken.getByRole("button", { name: "Take version 2" }).click();
    await expect.poll(() => countShown(other, "Seat")).toBe("11");
    await allSaved(other);

    // The notebook needs no library: its cells have all they compute with.
    await rm(join(server.folder, "library"), { recursive: true });
    expect((await readNotebook(server.folder, "other")).cells.at(-1)).toMatchObject({
      parameters: { count: 11 },
      library: { name: "seat", version: 2 },
    });
    expect(problems).toEqual([]);
  });
});
