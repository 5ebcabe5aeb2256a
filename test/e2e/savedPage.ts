import { execFile } from "node:child_process";
import { mkdtemp, realpath, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { promisify } from "node:util";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { expect, onTestFinished } from "vitest";

/** A folder that is gone when the tests of the file are over; call what it gives. */
export async function ownFolder(): Promise<{ folder: string; remove: () => Promise<void> }> {
  const folder = await realpath(await mkdtemp(join(tmpdir(), "bole-page-")));
  return { folder, remove: () => rm(folder, { recursive: true, force: true }) };
}

/** Saves a notebook as a page by the command line; gives its path. */
export async function savePage(folder: string, notebook: string, ...options: string[]): Promise<string> {
  const out = join(folder, `page-${crypto.randomUUID().slice(0, 8)}.html`);
  const { VITEST: _, NODE_ENV: __, ...environment } = process.env;
  await promisify(execFile)(
    process.execPath,
    ["src/cli/bole.mjs", "page", notebook, "--out", out, ...options],
    { env: environment },
  );
  return out;
}

/** An example as it comes with the project. */
export const example = (name: string) => `data/examples/${name}.json`;

/** A saved page, open from the disk with the network cut, and what went wrong on it so far. */
interface OpenedPage {
  page: Page;
  problems: string[];
  /** Addresses of the workers that it has begun. */
  workers: string[];
}

/** Opens a saved page from the disk, with the network cut, in a window that is closed after the test. */
export async function openSaved(
  browser: Browser,
  path: string,
  { before, ...settings }: BrowserContextOptions & { before?: () => void } = {},
): Promise<OpenedPage> {
  const context = await browser.newContext({
    viewport: { width: 1280, height: 800 },
    locale: "en-GB",
    offline: true,
    ...settings,
  });
  onTestFinished(() => context.close());
  context.setDefaultTimeout(30_000);
  const page = await context.newPage();
  if (before) await page.addInitScript(before);
  const problems: string[] = [];
  const workers: string[] = [];
  page.on("worker", (worker) => workers.push(worker.url()));
  const own = pathToFileURL(path).href;
  page.on("console", (message) => {
    if (message.type() === "error") problems.push(message.text());
  });
  page.on("pageerror", (error) => problems.push(`thrown: ${error.stack ?? error.message}`));
  page.on("dialog", (dialog) => {
    problems.push(`dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  page.on("request", (request) => {
    if (request.url() !== own && !/^(data|blob):/.test(request.url()))
      problems.push(`asked for ${request.url()}`);
  });
  await page.goto(own);
  return { page, problems, workers };
}

/** A living cell by its title. */
export const handed = (page: Page, title: string) => page.getByRole("group", { name: title, exact: true });

/** Waits until every cell that is seen lives and has its outcome. */
export async function allLive(page: Page): Promise<void> {
  await page.locator("bole-handout bole-handed-cell").first().waitFor();
  await expect
    .poll(
      () =>
        page.evaluate(() => {
          const cells = [
            ...document.querySelector("bole-handout")!.shadowRoot!.querySelectorAll("bole-handed-cell"),
          ];
          return (
            cells.length > 1 &&
            cells.every(
              (cell) => cell.hasAttribute("filled") && !cell.shadowRoot?.querySelector(".state.running"),
            )
          );
        }),
      { timeout: 60_000 },
    )
    .toBe(true);
}
