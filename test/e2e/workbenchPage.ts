import axe from "axe-core";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { browserLaunch } from "../browserLaunch.mjs";

const actionLimitMs = 30_000;
const navigationLimitMs = 30_000;
const closeLimitMs = 10_000;

/** Size of the window and, where it matters, colour scheme, touch and reduced motion. */
export interface PageOptions {
  width?: number;
  height?: number;
  colorScheme?: "light" | "dark";
  reducedMotion?: "reduce" | "no-preference";
  hasTouch?: boolean;
  isMobile?: boolean;
  deviceScaleFactor?: number;
  /** A person has accepted the certificate that the server made for itself. */
  ignoreHTTPSErrors?: boolean;
}

/** A page of the workbench in a window and a browser profile of its own. */
export interface WorkbenchPage {
  page: Page;
  /**
   * What went wrong so far: errors in the console (those of the content-security policy too), thrown errors, failed
   * requests, answers from 400 on, requests to any other address.
   */
  problems: string[];
  /** Everything the console said. */
  log: string[];
  close(): Promise<void>;
}

/** Starts the browser for tests; every wait has a limit. */
export async function launchBrowser(): Promise<Browser> {
  return chromium.launch(await browserLaunch());
}

/** Ends the browser, by force when it does not end by itself. */
export async function closeBrowser(browser: Browser): Promise<void> {
  await within(browser.close(), closeLimitMs).catch(() => undefined);
}

/** Opens an address of the server and waits until the page has loaded. */
export async function openWorkbench(
  browser: Browser,
  serverAddress: string,
  path: string,
  options: PageOptions = {},
): Promise<WorkbenchPage> {
  const { width = 1280, height = 800, ...others } = options;
  const settings: BrowserContextOptions = { viewport: { width, height }, locale: "en-GB", ...others };
  const context = await browser.newContext(settings);
  context.setDefaultTimeout(actionLimitMs);
  context.setDefaultNavigationTimeout(navigationLimitMs);
  const page = await context.newPage();
  const problems: string[] = [];
  const log: string[] = [];
  page.on("console", (message) => {
    const line = `${message.type()}: ${message.text()}`;
    log.push(line);
    if (message.type() === "error") problems.push(`console ${line}`);
  });
  page.on("pageerror", (error) => problems.push(`thrown: ${error.stack ?? error.message}`));
  page.on("crash", () => problems.push("the page crashed"));
  page.on("requestfailed", (request) => {
    const reason = request.failure()?.errorText ?? "unknown";
    // The event stream and requests under way end like this when a page is left; no test could avoid it.
    if (reason === "net::ERR_ABORTED") log.push(`left: ${request.method()} ${request.url()}`);
    else problems.push(`failed: ${request.method()} ${request.url()} (${reason})`);
  });
  page.on("response", (response) => {
    if (response.status() >= 400)
      problems.push(`answer ${response.status()}: ${response.request().method()} ${response.url()}`);
  });
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (!["data:", "blob:"].includes(url.protocol) && url.origin !== serverAddress)
      problems.push(`foreign: ${url}`);
  });
  try {
    await page.goto(new URL(path, serverAddress).href, { waitUntil: "load" });
  } catch (error) {
    await within(context.close(), closeLimitMs).catch(() => undefined);
    throw new Error(`${path} did not load. ${[error, ...problems, ...log].join("\n")}`);
  }
  return { page, problems, log, close: () => within(context.close(), closeLimitMs) };
}

/**
 * Faults that axe finds (WCAG 2.1 A and AA, best practices), one line each with the elements concerned.
 *
 * @param within CSS selector of the part to look at; the whole page when left out
 */
export async function accessibilityFaults(page: Page, within?: string): Promise<string[]> {
  // Evaluated through the browser's debugging connection: a script element would break the page's own policy.
  await page.evaluate(axe.source);
  const { violations } = await page.evaluate(
    (selector) => (window as unknown as { axe: typeof axe }).axe.run(selector ?? document),
    within,
  );
  return violations.map(
    ({ id, help, nodes }) => `${id}: ${help}: ${nodes.map(({ target }) => target.join(" ")).join("; ")}`,
  );
}

/** Waits until nothing on the page moves: every cell and panel stands where it stood for ten frames in a row. */
export async function atRest(page: Page): Promise<void> {
  await page.evaluate(async () => {
    const root = document.querySelector("bole-workbench")!.shadowRoot!;
    const places = () =>
      [...root.querySelectorAll("bole-panels, bole-cell")]
        .map((element) => {
          const { left, top, width, height } = element.getBoundingClientRect();
          return `${left} ${top} ${width} ${height}`;
        })
        .join();
    let before = "";
    for (let still = 0; still < 10; ) {
      await new Promise(requestAnimationFrame);
      const now = places();
      still = now === before ? still + 1 : 0;
      before = now;
    }
  });
}

async function within<T>(promise: Promise<T>, limitMs: number): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const limit = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error(`not done within ${limitMs / 1000} s`)), limitMs);
  });
  try {
    return await Promise.race([promise, limit]);
  } finally {
    clearTimeout(timer);
  }
}
