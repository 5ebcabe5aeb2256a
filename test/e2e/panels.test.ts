import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { checkLedger } from "../../src/ledger/ledgerFile.ts";
import { cellNamed, textOf, unfolded } from "./demo.ts";
import { accessibilityFaults, notebookFolder, openPage } from "./harness.ts";
import { computed, showAll } from "./lessonPage.ts";

let made = 0;

/** An example under a name of its own. */
async function openCopy(example: string, options: Parameters<typeof openPage>[1] = {}) {
  const name = `panels-test-${++made}`;
  const text = readFileSync(`data/examples/${example}.json`, "utf8");
  writeFileSync(join(notebookFolder(), `${name}.bole.json`), text);
  const opened = await openPage(`/?notebook=${name}`, { height: 1000, ...options });
  await computed(opened.page);
  return opened;
}

const entriesOnDisk = () => {
  const text = readFileSync(join(notebookFolder(), "library", "panels.bole-ledger.json"), "utf8");
  return checkLedger(JSON.parse(text)).entries;
};

// identity: the invented panels are made by the film model, and undo gives back what stood there.
describe("panels in a real browser", () => {
  test("predict the next panels, see what all of them say, use it, undo it", async () => {
    const { page, problems } = await openCopy("the-shelf-learns");
    const say = cellNamed(page, "What the panels say");
    // Covered as long as it would answer what is asked.
    expect(await textOf(say)).not.toContain("contradicts");
    await showAll(page);
    const words = () => textOf(say);
    await expect.poll(words).toMatch(/Half of the 16 panels lie within ΔE00/);
    expect(await words()).toContain(
      "It would fit if the doses of Pyrrole red and Pyrrole orange are exchanged.",
    );
    expect(await words()).toMatch(/Bottle B of Pyrrole red colours 1\d % less than the one before\./);
    expect(await words()).toMatch(/What to make next[\s\S]*coats? of 60 µm wet over/);
    expect(await accessibilityFaults(page)).toEqual([]);

    const rack = await unfolded(page, "The rack of pastes");
    expect(await textOf(rack)).not.toContain("Pyrrole red (own)");
    await say.getByRole("button", { name: "Use what the panels say" }).click();
    await expect.poll(words).toContain("The shelf of this notebook has it.");
    await expect.poll(() => textOf(rack)).toContain("Pyrrole red (own)");
    await page.keyboard.press("Control+z");
    await expect.poll(words).toContain("The shelf is as it was; using it can be undone.");
    await expect.poll(() => textOf(rack)).not.toContain("Pyrrole red (own)");
    expect(problems).toEqual([]);
  });

  test("a reading goes to the ledger with one press; a notebook whose shelf is older says so, and learns on", async () => {
    const mix = await openCopy("put-a-mix-right");
    const right = cellNamed(mix.page, "Put it right");
    await right.getByRole("button", { name: "To the ledger" }).click();
    await expect.poll(() => textOf(right)).toContain("This reading is in the ledger of panels.");
    expect(entriesOnDisk().map(({ panel }) => panel.label)).toEqual(["Test panel: Put it right"]);
    await right.getByRole("button", { name: "Take out of the ledger" }).click();
    await right.getByRole("button", { name: "To the ledger" }).click();
    await expect.poll(() => textOf(right)).toContain("This reading is in the ledger of panels.");
    expect(mix.problems).toEqual([]);
    await mix.close();

    const { page, problems } = await openCopy("the-shelf-learns");
    await showAll(page);
    const say = cellNamed(page, "What the panels say");
    const words = () => textOf(say);
    await expect
      .poll(words)
      .toContain("This shelf is older than the ledger: 1 panel of the ledger is not in here.");
    await say.getByRole("button", { name: "Take them in" }).click();
    await expect
      .poll(words)
      .toContain("This was learnt from other panels, or from another shelf: learn again.");
    await say.getByRole("button", { name: "Learn from the panels" }).click();
    await expect.poll(words, { timeout: 120_000 }).toMatch(/Half of the 17 panels lie within/);

    await say.getByText("The panels", { exact: true }).click();
    await say.getByRole("button", { name: "Change Bench panel, doses exchanged" }).click();
    await say.getByLabel("Set aside, because").fill("two doses were exchanged");
    await say.getByRole("button", { name: "Keep", exact: true }).click();
    await expect.poll(words).toContain("set aside: two doses were exchanged");
    // It is in this notebook only until it is handed on.
    await say.getByRole("button", { name: "To the ledger" }).click();
    await expect.poll(() => entriesOnDisk().length).toBe(17);
    const aside = entriesOnDisk().filter(({ panel }) => panel.setAside !== "");
    expect(aside.map(({ panel }) => [panel.label, panel.setAside])).toEqual([
      ["Bench panel, doses exchanged", "two doses were exchanged"],
    ]);
    // Corrected in the ledger as well, with what it was before.
    await say.getByRole("button", { name: "Change Pale red" }).click();
    await say.getByLabel("Instrument, or whose hand").fill("new instrument");
    await say.getByRole("button", { name: "Keep", exact: true }).click();
    await expect
      .poll(() => entriesOnDisk().find(({ panel }) => panel.label === "Pale red")?.panel.habit)
      .toBe("new instrument");
    expect(entriesOnDisk().find(({ panel }) => panel.label === "Pale red")?.earlier).toHaveLength(1);
    // Undone here, and there by a press.
    await page.keyboard.press("Control+z");
    await expect.poll(words).toContain("1 panel was corrected there.");
    await say.getByRole("button", { name: "Correct the ledger by what is here" }).click();
    await expect
      .poll(() => entriesOnDisk().find(({ panel }) => panel.label === "Pale red")?.panel.habit)
      .toBe("bench instrument");
    await expect.poll(words).not.toContain("This shelf is older");
    expect(problems).toEqual([]);
  });

  test("panels come in as CSV; a broken file leaves everything as it was", async () => {
    const { page, problems } = await openCopy("the-shelf-learns");
    await showAll(page);
    const say = cellNamed(page, "What the panels say");
    const words = () => textOf(say);
    await say.getByText("Panels as CSV", { exact: true }).click();
    const give = (text: string) =>
      say
        .locator("bole-file input[type=file]")
        .setInputFiles({ name: "mine.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
    const head = "label,ground,specular,amount of pr254,amount of binder,wet_um,L*,a*,b*\n";
    await give(`${head}tint,white card,included,10,90,60,fifty,40,20\n`);
    await expect.poll(words).toMatch(/The panels stay as they were/);
    const wavelengths = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
    const bare = `bare,white card,included,,,,,,,${wavelengths.map(() => "0.84").join()}`;
    const wide = `${head.trim()},${wavelengths.join()}\n${bare}\n`;
    await give(`${wide}tint,white card,included,10,90,60,50,40,20,${wavelengths.map(() => "").join()}\n`);
    await expect.poll(words).toContain("1 panel brought in.");
    expect(problems).toEqual([]);
  });
});
