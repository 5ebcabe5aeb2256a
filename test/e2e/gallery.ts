import { mkdirSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import { startRealServer } from "./realServer.ts";
import { closeBrowser, launchBrowser, openWorkbench } from "./workbenchPage.ts";

/** Every example at three widths and in both themes, with what went wrong while looking. */

const folder = resolve(process.cwd(), "gallery");
mkdirSync(folder, { recursive: true });

const looks = [
  { width: 1440, colorScheme: "light" },
  { width: 820, colorScheme: "dark" },
  { width: 390, colorScheme: "light" },
] as const;
/** Taller pictures than this are cut: browsers refuse them. */
const tallest = 15_000;

const server = await startRealServer();
const browser = await launchBrowser();
const pages: string[] = [];
let troubles = 0;
try {
  const answer = (await (await fetch(`${server.address}/api/notebooks`)).json()) as {
    notebooks: { name: string; title: string }[];
  };
  for (const { name, title } of answer.notebooks) {
    const pictures: string[] = [];
    for (const { width, colorScheme } of looks) {
      const { page, problems, close } = await openWorkbench(browser, server.address, `/?notebook=${name}`, {
        width,
        height: 1000,
        colorScheme,
        reducedMotion: "reduce",
      });
      await page.locator("bole-cell").first().waitFor();
      await page.waitForTimeout(1500);
      const height = await page.evaluate(() => document.documentElement.scrollHeight);
      await page.setViewportSize({ width, height: Math.min(tallest, height + 40) });
      await page.waitForTimeout(1500);
      const file = `${name}-${width}-${colorScheme}.png`;
      await page.screenshot({ path: resolve(folder, file) });
      pictures.push(
        `<figure><figcaption>${width} px, ${colorScheme}</figcaption><img loading="lazy" src="${file}" alt=""></figure>`,
      );
      if (problems.length > 0) {
        troubles++;
        console.error(`${name} at ${width} px:\n${problems.join("\n")}`);
      }
      await close();
    }
    pages.push(`<h2>${title.replaceAll("<", "&lt;")}</h2><div class="row">${pictures.join("")}</div>`);
    console.log(`${name}: ${looks.length} pictures`);
  }
} finally {
  await closeBrowser(browser);
  await server.stop();
}
writeFileSync(
  resolve(folder, "index.html"),
  `<!doctype html><html lang="en-GB"><meta charset="utf-8"><title>Bole: gallery</title>
<style>body{font:16px sans-serif;background:#777;color:#fff}.row{display:flex;gap:16px;align-items:start}img{max-width:30vw}</style>
${pages.join("\n")}</html>\n`,
);
console.log(`Open ${resolve(folder, "index.html")}`);
process.exitCode = troubles > 0 ? 1 : 0;
