import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import type { Page } from "playwright-core";
import { startRealServer } from "./realServer.ts";
import { closeBrowser, launchBrowser, openWorkbench } from "./workbenchPage.ts";

/** Takes the pictures of the README: npm run screenshots. */

const folder = resolve(process.cwd(), "data/pictures");
mkdirSync(folder, { recursive: true });

async function show(page: Page, title: string): Promise<void> {
  const frame = page.locator("bole-cell", { has: page.getByRole("heading", { name: title, exact: true }) });
  await frame.evaluate((element) => element.scrollIntoView({ block: "start" }));
  await page.waitForTimeout(700);
}

const server = await startRealServer();
const browser = await launchBrowser();
try {
  const { page, problems, close } = await openWorkbench(
    browser,
    server.address,
    "/?notebook=the-lantern-room",
    {
      width: 1100,
      height: 1060,
    },
  );
  await page.locator("bole-panels .figure").first().waitFor();
  await show(page, "Which blend?");
  await page.screenshot({ path: resolve(folder, "ratio-sweep.png") });
  await show(page, "Where the light goes");
  await page.screenshot({ path: resolve(folder, "light-budget.png") });
  if (problems.length > 0) throw new Error(problems.join("\n"));
  await close();
  console.log(`Pictures are in ${folder}`);
} finally {
  await closeBrowser(browser);
  await server.stop();
}
