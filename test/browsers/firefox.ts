import { readFile, writeFile } from "node:fs/promises";
import { connect, type Socket } from "node:net";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { type Driver, elementKey, startLimitMs, within } from "./driver.ts";
import { installed, startProgram } from "./ownProgram.ts";

export const firefox = installed("firefox-esr", "firefox");

/** Nothing is asked of the network, and no first-run page is in the way. */
const quiet = {
  "app.normandy.enabled": false,
  "app.update.disabledForTesting": true,
  "browser.aboutwelcome.enabled": false,
  "browser.shell.checkDefaultBrowser": false,
  "browser.startup.homepage_override.mstone": "ignore",
  "datareporting.policy.dataSubmissionEnabled": false,
  "intl.accept_languages": "en-GB",
  "network.captive-portal-service.enabled": false,
  "network.connectivity-service.enabled": false,
  "services.settings.server": "data:,#remote-settings-dummy/v1",
  "toolkit.telemetry.reportingpolicy.firstRun": false,
  // A free port, which is told in a file of the profile.
  "marionette.port": 0,
};

/**
 * Firefox without a window, driven by its own remote protocol: WebDriver commands as JSON over a socket.
 * Source: Firefox source docs, Marionette protocol 3
 *
 * @param settings further settings of the browser
 */
export async function startFirefox(settings: Record<string, boolean | number> = {}): Promise<Driver> {
  const program = await startProgram(
    firefox!,
    async (home) => {
      const lines = Object.entries({ ...quiet, ...settings }).map(
        ([name, value]) => `user_pref(${JSON.stringify(name)}, ${JSON.stringify(value)});\n`,
      );
      await writeFile(join(home, "user.js"), lines.join(""));
      return ["--headless", "--no-remote", "--marionette", "--profile", home];
    },
    { MOZ_HEADLESS_WIDTH: "1280", MOZ_HEADLESS_HEIGHT: "900" },
  );
  try {
    const port = await within(portOf(program.home), "starting Firefox", startLimitMs);
    const { send, close } = await connectTo(port);
    const { capabilities } = (await send("WebDriver:NewSession", {
      capabilities: { alwaysMatch: { timeouts: { script: 60_000, pageLoad: 60_000 } } },
    })) as { capabilities: { browserName: string; browserVersion: string } };
    const given = async (command: string, params: object) =>
      ((await send(command, params)) as { value: unknown }).value;
    return {
      browser: `${capabilities.browserName} ${capabilities.browserVersion}`,
      navigate: async (url) => void (await send("WebDriver:Navigate", { url })),
      reload: async () => void (await send("WebDriver:Refresh", {})),
      execute: (script, args) => given("WebDriver:ExecuteScript", { script, args, sandbox: null }),
      perform: async (actions) => void (await send("WebDriver:PerformActions", { actions })),
      click: async (element) => void (await send("WebDriver:ElementClick", { id: element[elementKey] })),
      sendKeys: async (element, text) =>
        void (await send("WebDriver:ElementSendKeys", { id: element[elementKey], text })),
      resize: async (width, height) => void (await send("WebDriver:SetWindowRect", { width, height })),
      print: async () =>
        Buffer.from((await given("WebDriver:Print", { background: false })) as string, "base64"),
      picture: async () =>
        Buffer.from((await given("WebDriver:TakeScreenshot", { full: false })) as string, "base64"),
      async quit() {
        close();
        await program.stop();
      },
    };
  } catch (error) {
    await program.stop();
    throw new Error(`${error}\n${program.said()}`);
  }
}

/** The port that Firefox has taken. */
async function portOf(profile: string): Promise<number> {
  for (;;) {
    const text = await readFile(join(profile, "MarionetteActivePort"), "utf8").catch(() => "");
    if (text !== "") return Number(text);
    await delay(100);
  }
}

interface Waiting {
  resolve(value: unknown): void;
  reject(error: Error): void;
}

/** Each message is its length in bytes, a colon, and JSON. */
async function connectTo(port: number) {
  const socket: Socket = connect(port, "127.0.0.1");
  const waiting = new Map<number, Waiting>();
  let bytes = Buffer.alloc(0);
  let greet: () => void = () => {};
  const greeted = new Promise<void>((resolve) => (greet = resolve));
  const take = (message: unknown) => {
    if (!Array.isArray(message)) return greet();
    const [, id, error, value] = message as [1, number, { error: string; message: string } | null, unknown];
    const { resolve, reject } = waiting.get(id)!;
    waiting.delete(id);
    if (error) reject(new Error(`${error.error}: ${error.message}`));
    else resolve(value);
  };
  socket.on("data", (chunk) => {
    bytes = Buffer.concat([bytes, chunk]);
    for (let colon = bytes.indexOf(":"); colon > 0; colon = bytes.indexOf(":")) {
      const end = colon + 1 + Number(bytes.toString("ascii", 0, colon));
      if (bytes.length < end) return;
      const message = JSON.parse(bytes.toString("utf8", colon + 1, end));
      bytes = bytes.subarray(end);
      take(message);
    }
  });
  const fail = (error?: Error) => {
    for (const { reject } of waiting.values()) reject(error ?? new Error("Firefox has ended"));
    waiting.clear();
  };
  socket.on("error", fail);
  socket.on("close", () => fail());
  await within(greeted, "connecting to Firefox", startLimitMs);
  let last = 0;
  const send = (command: string, params: object): Promise<unknown> => {
    const id = ++last;
    const text = JSON.stringify([0, id, command, params]);
    const answer = new Promise((resolve, reject) => waiting.set(id, { resolve, reject }));
    socket.write(`${Buffer.byteLength(text)}:${text}`);
    return within(answer, command);
  };
  return { send, close: () => socket.destroy() };
}
