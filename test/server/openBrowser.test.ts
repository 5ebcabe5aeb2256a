import { chmod, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { setImmediate as nextTurn } from "node:timers/promises";
import { describe, expect, test, vi } from "vitest";
import { openBrowser } from "../../src/server/openBrowser.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

describe("opening the browser", () => {
  test("is left alone under continuous integration and without a screen", () => {
    expect(openBrowser("http://127.0.0.1:1/", { CI: "true", DISPLAY: ":0" }, "linux")).toBe(false);
    expect(openBrowser("http://127.0.0.1:1/", { CI: "1" }, "darwin")).toBe(false);
    expect(openBrowser("http://127.0.0.1:1/", {}, "linux")).toBe(false);
  });

  test("without a program for it does no harm", async () => {
    expect(
      openBrowser("http://127.0.0.1:1/", { DISPLAY: ":0", PATH: await temporaryFolder() }, "linux"),
    ).toBe(true);
    // Node tells that there is no such program before the next turn; unheard, that error would fail the run.
    await nextTurn();
  });

  test.skipIf(process.platform === "win32")("hands the address over", async () => {
    const folder = await temporaryFolder();
    const told = join(folder, "told");
    await writeFile(join(folder, "xdg-open"), `#!/bin/sh\nprintf %s "$1" > "${told}"\n`);
    await chmod(join(folder, "xdg-open"), 0o755);
    openBrowser("http://127.0.0.1:1/?notebook=a", { DISPLAY: ":0", PATH: folder }, "linux");
    await vi.waitFor(
      async () => expect(await readFile(told, "utf8")).toBe("http://127.0.0.1:1/?notebook=a"),
      {
        timeout: 5000,
      },
    );
  });
});
