import { createServer } from "node:net";
import { setTimeout as delay } from "node:timers/promises";
import { commandLimitMs, type Driver, elementKey, startLimitMs, within } from "./driver.ts";
import { installed, type OwnProgram, startProgram } from "./ownProgram.ts";

const webDriver = installed("WebKitWebDriver");
const screen = installed("Xvfb");

/** The driver of WebKitGTK, where it and a screen in memory are installed. */
export const webKit = webDriver && screen;

/** WebKitGTK on a screen in memory, driven by its own WebDriver. Source: W3C WebDriver, 6.3 (endpoints) */
export async function startWebKit(): Promise<Driver> {
  const programs: OwnProgram[] = [];
  const stop = async () => {
    for (const program of programs.reverse()) await program.stop();
  };
  try {
    const display = await startProgram(screen!, () => [
      ...["-displayfd", "3", "-screen", "0", "1600x1200x24", "-nolisten", "tcp"],
    ]);
    programs.push(display);
    await within(
      until(() => display.told().includes("\n")),
      "starting the screen",
      startLimitMs,
    );
    const port = await freePort();
    const driver = await startProgram(webDriver!, () => [`--port=${port}`, "--host=127.0.0.1"], {
      DISPLAY: `:${display.told().trim()}`,
      // No graphics card is asked for, and no service of a desktop.
      LIBGL_ALWAYS_SOFTWARE: "1",
      WEBKIT_DISABLE_DMABUF_RENDERER: "1",
      WEBKIT_DISABLE_COMPOSITING_MODE: "1",
      NO_AT_BRIDGE: "1",
      GTK_A11Y: "none",
      LANG: "en_GB.UTF-8",
    });
    programs.push(driver);
    const root = `http://127.0.0.1:${port}`;
    await within(
      until(() => isReady(root)),
      "starting WebKit's driver",
      startLimitMs,
    );
    const { sessionId, capabilities } = (await send(`${root}/session`, "POST", {
      capabilities: { alwaysMatch: { timeouts: { script: 60_000, pageLoad: 60_000 } } },
    })) as { sessionId: string; capabilities: { browserName: string; browserVersion: string } };
    const at = `${root}/session/${sessionId}`;
    const post = (path: string, body: object = {}) => send(`${at}/${path}`, "POST", body);
    const none = async (path: string, body?: object) => void (await post(path, body));
    return {
      browser: `WebKitGTK, ${capabilities.browserName} ${capabilities.browserVersion}`,
      navigate: (url) => none("url", { url }),
      reload: () => none("refresh"),
      execute: (script, args) => post("execute/sync", { script, args }),
      perform: (actions) => none("actions", { actions }),
      click: (element) => none(`element/${element[elementKey]}/click`),
      sendKeys: (element, text) => none(`element/${element[elementKey]}/value`, { text }),
      resize: (width, height) => none("window/rect", { width, height }),
      print: async () => Buffer.from((await post("print")) as string, "base64"),
      picture: async () => Buffer.from((await send(`${at}/screenshot`, "GET")) as string, "base64"),
      async quit() {
        // Ends the browser; whatever does not end so is ended with its driver.
        await send(at, "DELETE").catch(() => undefined);
        await stop();
      },
    };
  } catch (error) {
    const said = programs.map((program) => program.said()).join("\n");
    await stop();
    throw new Error(`${error}\n${said}`);
  }
}

async function send(url: string, method: string, body?: object): Promise<unknown> {
  const answer = await fetch(url, {
    method,
    body: body && JSON.stringify(body),
    signal: AbortSignal.timeout(commandLimitMs),
  });
  const { value } = (await answer.json()) as { value: unknown };
  if (answer.ok) return value;
  const { error, message } = value as { error: string; message: string };
  throw new Error(`${error}: ${message}`);
}

const isReady = (root: string) =>
  fetch(`${root}/status`).then(
    ({ ok }) => ok,
    () => false,
  );

async function until(holds: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await holds())) await delay(100);
}

/** A port that nothing uses now. */
function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address() as { port: number };
      server.close(() => resolve(port));
    });
  });
}
