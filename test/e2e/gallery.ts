import { copyFileSync, mkdirSync, rmSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import type { Page } from "playwright-core";
import { startRealServer } from "./realServer.ts";
import { closeBrowser, launchBrowser, openWorkbench, type PageOptions } from "./workbenchPage.ts";

/**
 * Every example at three widths, every chart, and the pictures of the README, with what went wrong while looking.
 *
 *   npm run gallery              all of it, into gallery/
 *   npm run gallery -- --readme  only the pictures of the README, and puts them in data/pictures/
 *   npm run gallery -- --charts  only the charts, at two widths and in both themes; of some examples where they are named
 */

const onlyReadme = process.argv.includes("--readme");
const onlyCharts = process.argv.includes("--charts");
const named = process.argv.slice(2).filter((word) => !word.startsWith("--"));
const folder = resolve(process.cwd(), "gallery");
const pictures = resolve(process.cwd(), "data/pictures");
if (!onlyReadme) rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });

const looks = [
  { width: 1440, colorScheme: "light" },
  { width: 820, colorScheme: "light" },
  { width: 820, colorScheme: "dark" },
  { width: 390, colorScheme: "light" },
] as const;
const chartLooks = [
  { width: 900, colorScheme: "light" },
  { width: 900, colorScheme: "dark" },
  { width: 360, colorScheme: "light" },
  { width: 360, colorScheme: "dark" },
] as const;
/** A page is cut into pictures of this height: browsers refuse very tall ones. */
const sliceHeight = 3000;

/** What the README shows: an example, or the opening page and what is done from there, and the cell that is in sight. */
const readme: readonly { file: string; name: string; cell: string; begin?(page: Page): Promise<void> }[] = [
  { file: "own-job.png", name: "", cell: "My part", begin: beginOwnJob },
  { file: "ratio-sweep.png", name: "the-lantern-room", cell: "Which blend?" },
  { file: "light-budget.png", name: "the-lantern-room", cell: "Where the light goes" },
  { file: "calibration.png", name: "calibrate-a-paste", cell: "Rose, calibrated" },
  { file: "by-eye.png", name: "no-instrument", cell: "The seat pad, by eye" },
];

/** A whole job begun: an invented target and a faded seat, both typed as Lab. */
async function beginOwnJob(page: Page): Promise<void> {
  await page.getByRole("button", { name: /^A whole job/ }).click();
  const guide = page.getByRole("region", { name: "Next step" });
  for (const [cell, Lab] of [
    ["My target", "38.5 49 27 (D65/10°)"],
    ["My part", "44 44 24 (D65/10°)"],
  ]) {
    const box = page
      .locator("bole-cell", { has: page.getByRole("heading", { name: cell, exact: true }) })
      .getByLabel("L*, a*, b*: one colour on a line");
    await box.fill(Lab);
    await box.blur();
    await guide.getByRole("button", { name: /^Next: / }).click();
  }
}

const server = await startRealServer();
const browser = await launchBrowser();
const sections: string[] = [];
let troubles = 0;

/** Opens an example, waits until it is computed, lets something be done with it, and tells of troubles. */
async function looking(
  name: string,
  options: PageOptions,
  work: (page: Page) => Promise<void>,
): Promise<void> {
  const { page, problems, close } = await openWorkbench(
    browser,
    server.address,
    name ? `/?notebook=${name}` : "/",
    {
      reducedMotion: "reduce",
      ...options,
    },
  );
  await page.locator("main:not(.filling)").waitFor();
  await page.locator("bole-cell .state.running").first().waitFor({ state: "detached", timeout: 60_000 });
  await work(page);
  if (problems.length > 0) {
    troubles++;
    console.error(`${name} at ${options.width} px:\n${problems.join("\n")}`);
  }
  await close();
}

const figure = (file: string, caption: string) =>
  `<figure><figcaption>${caption}</figcaption><img loading="lazy" src="${file}" alt="${caption}"></figure>`;
const escaped = (text: string) => text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);

/** The whole page from top to bottom; what stays in sight otherwise is shown once. */
async function slices(page: Page, name: string, width: number): Promise<string[]> {
  await page.setViewportSize({ width, height: sliceHeight });
  await page.evaluate(() => {
    const root = document.querySelector("bole-workbench")!.shadowRoot!;
    const side = root.querySelector<HTMLElement>(".side");
    if (side) side.style.position = "static";
    const bar = root.querySelector("bole-save-bar");
    if (bar) (bar as HTMLElement).style.visibility = "hidden";
  });
  const files: string[] = [];
  for (let top = 0; ; top += sliceHeight) {
    const whole = await page.evaluate(() => document.documentElement.scrollHeight);
    if (top >= whole) return files;
    await page.evaluate((y) => scrollTo(0, y), Math.min(top, whole - sliceHeight));
    await page.waitForTimeout(350);
    const file = `${name}-${files.length + 1}.png`;
    // The last slice begins where the one before it ends.
    const y = Math.max(0, top - Math.max(0, whole - sliceHeight));
    await page.screenshot({
      path: resolve(folder, file),
      clip: { x: 0, y, width, height: Math.min(sliceHeight, whole - top) },
    });
    files.push(file);
  }
}

async function charts(page: Page, name: string): Promise<string[]> {
  const found: string[] = [];
  for (const chart of await page.locator("bole-chart").all()) {
    if (!(await chart.isVisible())) continue;
    await chart.scrollIntoViewIfNeeded();
    await chart.locator(".picture svg").first().waitFor();
    const file = `${name}-chart-${found.length + 1}.png`;
    await chart.screenshot({ path: resolve(folder, file) });
    const label = await chart.evaluate((element) => (element as unknown as { label: string }).label);
    found.push(figure(file, escaped(label)));
  }
  return found;
}

try {
  const answer = (await (await fetch(`${server.address}/api/notebooks`)).json()) as {
    notebooks: { name: string; title: string }[];
  };
  for (const { name, title } of onlyReadme ? [] : answer.notebooks) {
    if (named.length > 0 && !named.includes(name)) continue;
    const columns: string[] = [];
    for (const { width, colorScheme } of onlyCharts ? [] : looks) {
      await looking(name, { width, height: 1000, colorScheme }, async (page) => {
        const files = await slices(page, `${name}-${width}-${colorScheme}`, width);
        const caption = `${width} px, ${colorScheme}`;
        columns.push(
          `<div>${files.map((file, at) => figure(file, at === 0 ? caption : `${caption}, continued`)).join("")}</div>`,
        );
      });
    }
    const drawn: string[] = [];
    for (const look of onlyCharts ? chartLooks : chartLooks.slice(0, 1)) {
      await looking(name, { ...look, height: 1180 }, async (page) => {
        drawn.push(...(await charts(page, onlyCharts ? `${name}-${look.width}-${look.colorScheme}` : name)));
      });
    }
    sections.push(
      `<h2>${escaped(title)}</h2><div class="row">${columns.join("")}</div>`,
      `<h3>Its charts</h3><div class="charts">${drawn.join("")}</div>`,
    );
    console.log(`${name}: ${columns.length} looks, ${drawn.length} charts`);
  }
  for (const { file, name, cell, begin } of onlyCharts ? [] : readme) {
    await looking(name, { width: 1100, height: 1060, colorScheme: "light" }, async (page) => {
      await begin?.(page);
      const frame = page.locator("bole-cell", {
        has: page.getByRole("heading", { name: cell, exact: true }),
      });
      await frame.evaluate((element) => element.scrollIntoView({ block: "start" }));
      await page.waitForTimeout(700);
      await page.screenshot({ path: resolve(folder, file) });
    });
    if (onlyReadme) {
      mkdirSync(pictures, { recursive: true });
      copyFileSync(resolve(folder, file), resolve(pictures, file));
    }
    sections.unshift(figure(file, `${cell}, for the README`));
  }
} finally {
  await closeBrowser(browser);
  await server.stop();
}
if (onlyReadme) console.log(`Pictures are in ${pictures}`);
else {
  writeFileSync(
    resolve(folder, "index.html"),
    `<!doctype html><html lang="en-GB"><meta charset="utf-8"><title>Bole: gallery</title>
<style>body{font:16px sans-serif;background:#777;color:#fff}.row{display:flex;gap:16px;align-items:start}
.row img{max-width:23vw}.charts{display:flex;flex-wrap:wrap;gap:16px}.charts img{max-width:46vw}figure{margin:0 0 4px}</style>
${sections.join("\n")}</html>\n`,
  );
  console.log(`Open ${resolve(folder, "index.html")}`);
}
process.exitCode = troubles > 0 ? 1 : 0;
