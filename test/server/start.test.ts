import { chmod, readFile, writeFile } from "node:fs/promises";
import { createServer } from "node:http";
import { join } from "node:path";
import { setImmediate as nextTurn } from "node:timers/promises";
import { describe, expect, onTestFinished, test, vi } from "vitest";
import { main } from "../../src/server/main.ts";
import { openBrowser } from "../../src/server/openBrowser.ts";
import { listen, openWorkplace, usualPort } from "../../src/server/server.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

const workplaceIn = (folder: string) => openWorkplace({ folder, validate: () => {}, examples: {} });

describe("the port", () => {
  test("is a free one when the usual one is taken", async () => {
    const other = createServer().on("error", () => {}); // taken already: just as well
    await new Promise<void>((resolve) => {
      other.once("error", () => resolve());
      other.listen(usualPort, "127.0.0.1", resolve);
    });
    onTestFinished(() => void other.close());
    const server = await listen(await workplaceIn(await temporaryFolder()), undefined);
    expect(Number(new URL(server.address).port)).not.toBe(usualPort);
    await server.stop();
  });

  test("that was asked for is never changed in silence", async () => {
    const first = await listen(await workplaceIn(await temporaryFolder()), 0);
    const second = await workplaceIn(await temporaryFolder());
    const port = Number(new URL(first.address).port);
    await expect(listen(second, port)).rejects.toThrow(`Port ${port} is taken by another program`);
    await second.close();
    await first.stop();
  });
});

describe("the options", () => {
  const start = async (argv: string[]) => {
    const lines: string[] = [];
    const complaints: string[] = [];
    const code = await main({
      argv,
      pageFolder: "none",
      defaultFolder: "none",
      print: (line) => lines.push(line),
      complain: (line) => complaints.push(line),
    });
    return { code, lines, complaints };
  };

  test("--help explains them", async () => {
    const { code, lines, complaints } = await start(["--help"]);
    expect([code, complaints]).toEqual([0, []]);
    for (const option of ["--folder", "--port", "--no-open"]) expect(lines.join()).toContain(option);
  });

  test.each([
    ["--port", "-1"],
    ["--port", "65536"],
    ["--port", ""],
    ["--port"],
    ["--folder", ""],
    ["--verbose"],
    ["loose"],
  ])("%s %s is refused", async (...argv) => {
    const { code, lines, complaints } = await start(argv);
    expect([code, lines]).toEqual([2, []]);
    expect(complaints.join()).toMatch(/--help/);
  });
});

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
