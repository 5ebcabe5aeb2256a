import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Locator, Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { previewOf } from "../../src/exchange/preview.ts";
import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { writeCgats } from "../../src/exchange/writeCgats.ts";
import { writeCxf } from "../../src/exchange/writeCxf.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { pngFile } from "../photo/pngFile.ts";
import { seatLab, seatPhotograph, seatPlaces } from "../photo/seatScene.ts";
import { cellNamed, textOf } from "./demo.ts";
import { accessibilityFaults, notebookFolder, openPage, type PageOptions } from "./harness.ts";

const nm = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const red = Array.from(lanternRoom.target.reflectance);
const heading = { originator: "tests", description: "invented", created: "2026-11-25" };
const spectrum = (label: string, factor: number) => ({
  kind: "spectrum" as const,
  label,
  wavelengths: nm,
  values: red.map((value) => Number((value * factor).toFixed(4))),
  specular: "included" as const,
});
const csv = `nm;Strip 7\n${nm.map((at, i) => `${at};${String((90 * red[i]).toFixed(2)).replace(".", ",")}`).join("\n")}\n`;
const cgats = writeCgats(
  [spectrum("left", 0.99), spectrum("right", 1.01), spectrum("other part", 0.5)],
  heading,
);
const cxf = writeCxf(
  [
    {
      kind: "Lab",
      label: "sensor",
      Lab: [41.5, 46.25, 24.1],
      observer: "1964-10",
      illuminant: "D65",
      specular: "included",
    },
  ],
  heading,
);

/** A copy of the example under its own name, so that tests do not disturb one another. */
async function openCopy(options: PageOptions = {}) {
  const window = await openPage("/?notebook=bring-a-colour-in", { height: 1100, ...options });
  const { page } = window;
  await page.getByRole("button", { name: "Notebooks" }).click();
  await page.getByRole("button", { name: "Copy this notebook" }).click();
  await expect.poll(() => page.url(), { timeout: 10_000 }).not.toMatch(/bring-a-colour-in$/);
  await expect
    .poll(() => textOf(cellNamed(page, "Poppy red, measured")), { timeout: 10_000 })
    .toContain("The mean of");
  for (const summary of await page.getByText("Another colour, and how this one was read").all())
    await summary.click();
  return window;
}

/** Drops a file on the first drop zone in an element, as from the desktop. */
async function drop(page: Page, into: Locator, name: string, type: string, content: Buffer | string) {
  const bytes = Buffer.from(content).toString("base64");
  const transfer = await page.evaluateHandle(
    ({ bytes: text, name: fileName, type: mime }) => {
      const data = new DataTransfer();
      data.items.add(
        new File([Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0))], fileName, { type: mime }),
      );
      return data;
    },
    { bytes, name, type },
  );
  await into.locator("bole-file .zone").first().dispatchEvent("drop", { dataTransfer: transfer });
}

/** What the recipe says of its mix against the target. */
const matchOf = (page: Page) =>
  cellNamed(page, "The red, for the photograph").locator("bole-swatch .sub").first().innerText();

/** The three numbers after L*, a*, b* at the head of a text. */
function LabIn(text: string): number[] {
  const found = /L\* ([\d.-]+)\s+a\* ([\d.-]+)\s+b\* ([\d.-]+)/.exec(text);
  if (!found) throw new Error(`no Lab in: ${text.slice(0, 200)}`);
  return found.slice(1, 4).map(Number);
}

const saved = async (page: Page) => {
  await expect.poll(() => page.locator(".saved").innerText()).toContain("Saved");
  const name = new URL(page.url()).searchParams.get("notebook");
  return JSON.parse(readFileSync(join(notebookFolder(), `${name}.bole.json`), "utf8"));
};

test("a target takes the colour of a photograph that stands in another cell", async () => {
  const { page, problems } = await openCopy();
  const target = cellNamed(page, "Poppy red, hand-held sensor");
  const photograph = LabIn(await textOf(cellNamed(page, "Poppy red, photographed")));
  await target.getByText("Or take one from a photograph or the library").click();
  await target
    .getByLabel("A colour at hand", { exact: true })
    .selectOption({ label: "photograph “Poppy red, photographed”" });
  // identity: the same numbers; the place of choosing is ready for the next one
  await expect.poll(async () => LabIn(await textOf(target))).toEqual(photograph);
  expect(await accessibilityFaults(page)).toEqual([]);
  // Without a picture yet: a press puts the cell for it in, and goes there.
  await target.getByRole("button", { name: "Photograph it beside a grey card" }).click();
  await cellNamed(page, "Colour from a photograph").waitFor();
  expect(problems).toEqual([]);
});

describe("files that are dropped on the target", () => {
  test("one cell mistyped rescales nothing; what may be fractions or per cent is asked by a press", async () => {
    const { page, problems } = await openCopy();
    const target = cellNamed(page, "Poppy red, measured");
    const slip = red.map((value, i) => (i === 12 ? 25 : Number(value.toFixed(4))));
    const rows = nm.map((at, i) => `${at},${slip[i]}`).join("\n");
    await drop(page, target, "slip.csv", "text/csv", `nm,Seat\n${rows}\n`);
    await expect.poll(() => textOf(target)).toMatch(/row 14, field "Seat": the reflectance 25 is outside/);
    expect(await textOf(target)).toContain("The mean of"); // as before

    // A dark sample may be in fractions or in per cent: a person has to say which.
    const dark = nm.map((at) => `${at},${(0.75 + 0.35 * Math.sin(at / 60)).toFixed(2)}`).join("\n");
    await drop(page, target, "dark.csv", "text/csv", `nm,Lid\n${dark}\n`);
    const question = target.getByRole("group", { name: "A question about the file" });
    await question.waitFor();
    expect(await textOf(question)).toContain("fractions (0 to 1) or per cent?");
    for (const button of await question.getByRole("button").all()) {
      expect((await button.boundingBox())!.height).toBeGreaterThanOrEqual(44); // WCAG 2.2, target size (enhanced)
    }
    expect(await accessibilityFaults(page)).toEqual([]);
    expect(await textOf(target)).toContain("The mean of"); // nothing is taken before an answer
    await question.getByRole("button", { name: "Per cent" }).click();
    await expect.poll(() => textOf(target)).toMatch(/A measured spectrum, Lid/);
    expect(await question.count()).toBe(0);
    expect(LabIn(await textOf(target))[0]).toBeLessThan(10);
    expect(problems).toEqual([]);
  });

  test("CSV, CGATS and CxF: preview, choice, mean, conditions; and the recipe follows", async () => {
    const { page, problems } = await openCopy();
    const target = cellNamed(page, "Poppy red, measured");
    const recipe = cellNamed(page, "The red, for the photograph");
    await recipe.getByRole("button", { name: "Change links" }).click();
    await recipe.getByLabel("Target", { exact: true }).selectOption({ label: "Poppy red, measured" });
    await expect.poll(() => matchOf(page)).toMatch(/ΔE00/);
    let before = await matchOf(page);

    // One spectrum in per cent with decimal commas: taken at once, and what it leaves unsaid is asked.
    await drop(page, target, "strip.csv", "text/csv", csv);
    await expect.poll(() => textOf(target)).toMatch(/A measured spectrum, Strip 7 \( ?strip\.csv ?\)/);
    expect(await textOf(target)).toContain("Was it read with the surface reflection included");
    await expect.poll(() => matchOf(page)).not.toBe(before);
    before = await matchOf(page);
    await target.getByLabel("Surface reflection", { exact: true }).first().selectOption("excluded");
    await expect.poll(() => textOf(target)).not.toContain("The file does not say");
    await expect.poll(() => matchOf(page)).not.toBe(before);
    await target.getByText("How it was read").click();
    expect(await textOf(target)).toMatch(/decimal commas[\s\S]*per cent and divided by 100/);

    // Three spectra: two of them are readings of one surface.
    await drop(page, target, "readings.txt", "text/plain", cgats);
    await expect.poll(() => textOf(target)).toContain("readings.txt holds 3 colours (CGATS)");
    await target.getByRole("checkbox", { name: /^left/ }).check();
    await expect.poll(() => target.getByRole("button", { name: "Use “left”" }).count()).toBe(1);
    await target.getByRole("checkbox", { name: /^right/ }).check();
    await target.getByRole("button", { name: "Use the mean of these 2" }).click();
    await expect.poll(() => textOf(target)).toMatch(/The mean of 2 readings.*MCDM\): ΔE00 0\.\d\d/);
    // identity: the mean of 0.99 and 1.01 times the red is the red, as read in the file's four digits
    const kept = (await saved(page)).cells.find(({ id }: { id: string }) => id === "measured");
    expect(kept.parameters.readings.map(({ label }: { label: string }) => label)).toEqual(["left", "right"]);

    // A Lab with its conditions: nothing is left to ask.
    await drop(page, target, "sensor.cxf", "application/xml", cxf);
    await expect
      .poll(() => textOf(target))
      .toMatch(/A Lab reading ?: L\* 41\.5\s+a\* 46\.3\s+b\* 24\.1 in D65/);
    expect(await textOf(target)).not.toContain("The file does not say");
    await expect.poll(() => matchOf(page)).toMatch(/ΔE00/);

    // What cannot be read changes nothing.
    await drop(page, target, "bad.csv", "text/csv", "wavelength,R\n400,0.1\n410,red\n");
    await expect
      .poll(() => textOf(target))
      .toMatch(/bad\.csv.*"red" is not a number.*The target stays as it was/);
    expect(await textOf(target)).toMatch(/A Lab reading ?: L\* 41\.5/);
    expect(problems).toEqual([]);
  });

  test("typed Lab, a curve for other lights, and saving it again", async () => {
    const { page, problems } = await openCopy();
    const target = cellNamed(page, "A seat as it is now");
    await target.getByText("Or type or paste Lab").click();
    await target.getByLabel("L*, a*, b*: one colour on a line").fill("seat: 44,5; 38,0; 19,5 (D65/10°, SCI)");
    await target.getByRole("button", { name: "Read it" }).click();
    await expect.poll(() => textOf(target)).toMatch(/A Lab reading ?: L\* 44\.5\s+a\* 38\.0\s+b\* 19\.5/);
    await target.getByText("Other lights", { exact: true }).click();
    await target.getByLabel("A curve for other lights").selectOption("smoothest");
    await expect.poll(() => textOf(target)).toMatch(/One of many\..*This one is the smoothest/);
    await target.locator("bole-chart").scrollIntoViewIfNeeded();
    await target.locator("bole-chart .picture svg").waitFor();
    const made = page.waitForEvent("download");
    await target
      .getByRole("group", { name: "Save the curve made for it" })
      .getByRole("button", { name: "CSV" })
      .click();
    const curve = readFileSync(await (await made).path(), "utf8");
    expect(curve).toContain("made, not measured");
    // identity: a curve that was made to have a Lab has it
    const [sample] = readColourFile("curve.csv", curve).samples;
    expect(deltaE2000(previewOf(sample).Lab, [44.5, 38, 19.5])).toBeLessThan(0.05);
    for (const [button, form] of [
      ["CSV", "CSV"],
      ["CGATS", "CGATS"],
      ["CxF3", "CxF3"],
    ]) {
      const download = page.waitForEvent("download");
      await target
        .getByRole("group", { name: "Save this colour" })
        .getByRole("button", { name: button })
        .click();
      const file = await download;
      const back = readColourFile(file.suggestedFilename(), readFileSync(await file.path(), "utf8"));
      expect(back.form).toBe(form);
      expect(back.samples[0]).toMatchObject({ kind: "Lab", Lab: [44.5, 38, 19.5], illuminant: "D65" });
    }
    expect(problems).toEqual([]);
  });
});

describe("a photograph beside a grey card", () => {
  const photograph = pngFile(seatPhotograph());

  /** Brings a circle to a place of the picture by a press on it, and to its size by keys. */
  async function bring(photo: Locator, circle: RegExp, { x, y }: { x: number; y: number }) {
    await photo.getByRole("button", { name: circle }).focus();
    const image = photo.locator("bole-photo-circles img");
    const box = (await image.boundingBox())!;
    await image.click({ position: { x: (x / 720) * box.width, y: (y / 480) * box.height }, force: true });
  }

  test("dropped: the target is read, with its doubt, and the recipe follows", async () => {
    const { page, problems } = await openCopy();
    await page.getByRole("button", { name: "Notebooks" }).click();
    await page.keyboard.press("Escape");
    const photo = cellNamed(page, "Poppy red, photographed");
    // Without the circles of the example, so that they come anew with the picture.
    for (const name of ["Grey card, left", "Grey card, right", "Seat, middle", "Seat, lower left"]) {
      await photo.getByRole("button", { name: `Remove ${name}` }).click();
    }
    await drop(page, photo, "seat.png", "image/png", photograph);
    await expect.poll(() => photo.getByRole("button", { name: /^G1: Grey card 1, at/ }).count()).toBe(1);
    const before = await matchOf(page);
    await bring(photo, /^G1: Grey card 1, at/, seatPlaces.leftCard);
    await bring(photo, /^P1: Part 1, at/, seatPlaces.seat);
    await photo.getByRole("button", { name: "+ Grey card" }).click();
    await bring(photo, /^G2: Grey card 2, at/, seatPlaces.rightCard);
    await expect.poll(() => textOf(photo)).toMatch(/in doubt by ΔE00 \d+\.\d or more/);
    const text = await textOf(photo);
    const doubt = Number(/in doubt by ΔE00 ([\d.]+)/.exec(text)![1]);
    expect(deltaE2000(seatLab, LabIn(text))).toBeLessThan(doubt);
    expect(doubt).toBeLessThan(10);
    await expect.poll(() => matchOf(page)).not.toBe(before);

    // Where the light burns out the sample is refused with the reason, and the notebook stays with what it had.
    await photo.getByRole("button", { name: "+ Part" }).click();
    await bring(photo, /^P2: Part 2, at/, seatPlaces.glint);
    await expect.poll(() => textOf(photo)).toMatch(/Not used: overexposed: \d+ % of the pixels/);
    expect(await textOf(photo)).toMatch(/in doubt by ΔE00/);

    // The picture is kept small and inside the notebook, and a run without a page needs its figures only.
    const cell = (await saved(page)).cells.find(({ id }: { id: string }) => id === "photo");
    expect(cell.parameters.picture.data.length).toBeLessThan(400_000);
    expect(cell.parameters.circles.every(({ sample }: { sample: unknown }) => sample)).toBe(true);

    await drop(page, photo, "letter.png", "image/png", "Dear colleague");
    await expect.poll(() => textOf(photo)).toMatch(/“letter\.png” could not be read as a picture/);
    expect(await textOf(photo)).toContain("What was there before stays");
    expect(problems).toEqual([]);
  });

  test("by finger: a circle is dragged, a magnifier stands above it, and elsewhere the picture scrolls", async () => {
    const { page, problems } = await openCopy({ width: 820, hasTouch: true });
    const photo = cellNamed(page, "Poppy red, photographed");
    const circle = photo.getByRole("button", { name: /^P2: Seat, lower left, at/ });
    await circle.scrollIntoViewIfNeeded();
    await expect
      .poll(() =>
        photo.locator("bole-photo-circles img").evaluate((img) => (img as HTMLImageElement).complete),
      )
      .toBe(true);
    const box = (await circle.boundingBox())!;
    const start = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    const session = await page.context().newCDPSession(page);
    const touch = (type: "touchStart" | "touchMove" | "touchEnd", place?: { x: number; y: number }) =>
      session.send("Input.dispatchTouchEvent", { type, touchPoints: place ? [{ ...place, id: 1 }] : [] });
    await touch("touchStart", start);
    for (let step = 1; step <= 6; step++)
      await touch("touchMove", { x: start.x + 12 * step, y: start.y - 8 * step });
    const glass = photo.locator("bole-magnifier");
    await expect.poll(() => glass.isVisible()).toBe(true);
    const lens = (await glass.boundingBox())!;
    const finger = { x: start.x + 72, y: start.y - 48 };
    expect(lens.y + lens.height).toBeLessThan(finger.y);
    await touch("touchEnd");
    await expect.poll(() => glass.isVisible()).toBe(false);
    const [, x, y] = /at (\d+), (\d+)/.exec((await circle.getAttribute("aria-label"))!)!.map(Number);
    const scale = (await photo.locator("bole-photo-circles img").boundingBox())!.width / 720;
    expect(Math.abs(x - (290 + 72 / scale))).toBeLessThan(3); // identity: as far as the finger
    expect(Math.abs(y - (360 - 48 / scale))).toBeLessThan(3);
    await expect.poll(() => textOf(photo)).toMatch(/Mean of 2 circles/);

    const image = photo.locator("bole-photo-circles img");
    const before = (await image.boundingBox())!;
    const bare = { x: before.x + 0.5 * before.width, y: before.y + 0.95 * before.height };
    await touch("touchStart", bare);
    for (let step = 1; step <= 8; step++) await touch("touchMove", { x: bare.x, y: bare.y - 20 * step });
    await touch("touchEnd");
    await expect.poll(async () => (await image.boundingBox())!.y).toBeLessThan(before.y - 60);
    expect(problems).toEqual([]);
  });

  test("by keys: a circle moves, and there and back it reads the same as the notebook came with", async () => {
    const { page, problems } = await openCopy();
    const photo = cellNamed(page, "Poppy red, photographed");
    const example = JSON.parse(readFileSync("data/examples/bring-a-colour-in.json", "utf8"));
    const circlesOf = (document: typeof example) =>
      document.cells.find(({ id }: { id: string }) => id === "photo").parameters.circles;
    const circle = photo.getByRole("button", { name: /^P1: Seat, middle, at/ });
    await circle.focus();
    await page.keyboard.press("Shift+ArrowRight");
    await expect.poll(() => circle.getAttribute("aria-label")).toMatch(/at 405, 260/);
    await page.keyboard.press("Shift+ArrowLeft");
    await expect.poll(() => circle.getAttribute("aria-label")).toMatch(/at 385, 260/);
    await expect.poll(async () => (await saved(page)) && true).toBe(true);
    const [was, is] = [circlesOf(example)[2].sample, circlesOf(await saved(page))[2].sample];
    expect(is.count).toBe(was.count);
    // identity: the same picture and circle; decoders of JPEG may differ by a step of 255
    is.rgb.forEach((value: number, c: number) => expect(Math.abs(value - was.rgb[c])).toBeLessThan(0.004));
    await page.keyboard.press("Delete");
    await expect.poll(() => photo.getByRole("button", { name: /^P2: /, exact: false }).count()).toBe(0);
    expect(problems).toEqual([]);
  });
});

describe("everything of it, opened", () => {
  const opened = async (options: PageOptions) => {
    const window = await openPage("/?notebook=bring-a-colour-in", { height: 1100, ...options });
    const { page } = window;
    await expect
      .poll(() => textOf(cellNamed(page, "Poppy red, hand-held sensor")), { timeout: 20_000 })
      .toMatch(/One of many\..*nearest mixture of the linked pastes: [A-Z]/);
    await expect.poll(() => textOf(cellNamed(page, "What the south window did"))).toContain("grade");
    await page.evaluate(() => {
      const open = (root: ParentNode) => {
        for (const element of root.querySelectorAll("*")) {
          if (element instanceof HTMLDetailsElement) element.open = true;
          if (element.shadowRoot) open(element.shadowRoot);
        }
      };
      open(document);
    });
    await cellNamed(page, "Poppy red, photographed").getByRole("button", { name: "+ Known patch" }).click();
    return window;
  };

  test("axe finds nothing", async () => {
    const { page, problems } = await opened({ width: 820, colorScheme: "dark" });
    expect(await accessibilityFaults(page)).toEqual([]);
    expect(problems).toEqual([]);
  });

  test("nothing sticks out of a narrow page", async () => {
    const { page, problems } = await opened({ width: 390 });
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
    expect(problems).toEqual([]);
  });
});
