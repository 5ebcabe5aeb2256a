import type { Browser } from "playwright-core";
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
let server: RealServer | undefined;
const open = new Map<WorkbenchPage, { untilEndOfFile: boolean }>();

function started(): RealServer {
  if (!server) throw new Error("The server of this file has not been started, or has ended.");
  return server;
}

/** Folder of the notebooks of this file's server. */
export const notebookFolder = (): string => started().folder;

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
  const { untilEndOfFile = false, address = started().address, ...settings } = options;
  browser ??= launchBrowser();
  const opened = await openWorkbench(await browser, address, path, settings);
  open.set(opened, { untilEndOfFile });
  return { ...opened, close: () => closePage(opened) };
}

async function closePage(opened: WorkbenchPage): Promise<void> {
  if (open.delete(opened)) await opened.close();
}

/** Starts the server of a file before its first test; its browser starts with the first window. */
export async function beginFile(): Promise<void> {
  server ??= await startRealServer();
}

/** Closes the windows that were opened for a test alone. */
export async function endTest(): Promise<void> {
  for (const [opened, { untilEndOfFile }] of [...open]) if (!untilEndOfFile) await closePage(opened);
}

/** Ends what served a file: the next file of the same process gets its own. */
export async function endFile(): Promise<void> {
  for (const opened of [...open.keys()]) await closePage(opened);
  if (browser) await closeBrowser(await browser);
  await server?.stop();
  browser = undefined;
  server = undefined;
}
