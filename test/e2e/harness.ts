import type { Browser } from "playwright-core";
import { afterAll, afterEach, inject } from "vitest";
import {
  closeBrowser,
  launchBrowser,
  openWorkbench,
  type PageOptions,
  type WorkbenchPage,
} from "./workbenchPage.ts";

export { accessibilityFaults, type PageOptions, type WorkbenchPage } from "./workbenchPage.ts";

let browser: Promise<Browser> | undefined;
const open = new Map<WorkbenchPage, { untilEndOfFile: boolean }>();

/** Address of the shared server, such as http://127.0.0.1:40123. */
export const serverAddress = (): string => inject("serverAddress");

/** Folder of the shared server's notebooks. */
export const notebookFolder = (): string => inject("notebookFolder");

/**
 * Opens a path of the workbench in a window of its own. One browser serves all tests of a file.
 *
 * @param path such as /?notebook=the-lantern-room
 * @param options `untilEndOfFile` keeps it for the next tests; else it is closed after the test.
 * `address` is another server than the shared one
 */
export async function openPage(
  path: string,
  options: PageOptions & { untilEndOfFile?: boolean; address?: string } = {},
): Promise<WorkbenchPage> {
  const { untilEndOfFile = false, address = serverAddress(), ...settings } = options;
  browser ??= launchBrowser();
  const opened = await openWorkbench(await browser, address, path, settings);
  open.set(opened, { untilEndOfFile });
  return { ...opened, close: () => closePage(opened) };
}

async function closePage(opened: WorkbenchPage): Promise<void> {
  if (open.delete(opened)) await opened.close();
}

afterEach(async () => {
  for (const [opened, { untilEndOfFile }] of [...open]) if (!untilEndOfFile) await closePage(opened);
});

afterAll(async () => {
  for (const opened of [...open.keys()]) await closePage(opened);
  if (browser) await closeBrowser(await browser);
  browser = undefined;
});
