import type { Browser } from "playwright-core";
import { afterAll, afterEach, beforeAll } from "vitest";
import { type RealServer, startRealServer } from "./realServer.ts";
import {
  closeBrowser,
  launchBrowser,
  openWorkbench,
  type PageOptions,
  type WorkbenchPage,
} from "./workbenchPage.ts";

export { accessibilityFaults, atRest, type PageOptions, type WorkbenchPage } from "./workbenchPage.ts";

let browser: Promise<Browser> | undefined;
let server: RealServer;
const open = new Map<WorkbenchPage, { untilEndOfFile: boolean }>();

/** Folder of the notebooks of this file's server. */
export const notebookFolder = (): string => server.folder;

/**
 * Opens a path of the workbench in a window of its own. One server and one browser serve all tests of a file.
 *
 * @param path such as /?notebook=the-lantern-room
 * @param options `untilEndOfFile` keeps it for the next tests; else it is closed after the test.
 * `address` is another server than the file's own
 */
export async function openPage(
  path: string,
  options: PageOptions & { untilEndOfFile?: boolean; address?: string } = {},
): Promise<WorkbenchPage> {
  const { untilEndOfFile = false, address = server.address, ...settings } = options;
  browser ??= launchBrowser();
  const opened = await openWorkbench(await browser, address, path, settings);
  open.set(opened, { untilEndOfFile });
  return { ...opened, close: () => closePage(opened) };
}

async function closePage(opened: WorkbenchPage): Promise<void> {
  if (open.delete(opened)) await opened.close();
}

beforeAll(async () => {
  server = await startRealServer();
});

afterEach(async () => {
  for (const [opened, { untilEndOfFile }] of [...open]) if (!untilEndOfFile) await closePage(opened);
});

afterAll(async () => {
  for (const opened of [...open.keys()]) await closePage(opened);
  if (browser) await closeBrowser(await browser);
  browser = undefined;
  await server?.stop();
});
