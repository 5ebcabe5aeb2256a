import { execFile, spawn } from "node:child_process";
import { chmod, mkdir, mkdtemp, readFile, realpath, rm, symlink, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { beforeAll, describe, expect, onTestFinished, test } from "vitest";
import { flatFilm, flatSpectrum } from "../cli/inMemory.ts";
import { few } from "../howMuch.ts";
import { unzip } from "../unzip.ts";
import { opened } from "./demo.ts";
import { notebookFolder, openPage } from "./harness.ts";

const checkout = resolve(".");
const { version, engines } = JSON.parse(await readFile("package.json", "utf8"));
const { VITEST: _, NODE_ENV: __, ...inherited } = process.env;
const limitMs = 110_000;

interface Ended {
  code: number;
  out: string;
  complaint: string;
}

function run(program: string, args: string[], cwd: string, environment = {}): Promise<Ended> {
  const env = { ...inherited, ...environment };
  return new Promise((done) =>
    execFile(program, args, { cwd, env, timeout: limitMs, maxBuffer: 64e6 }, (error, out, complaint) => {
      done({ code: error ? Number(error.code ?? -1) : 0, out, complaint });
    }),
  );
}

/** Where the archive was unpacked: nothing of the project is above it. */
let home: string;
/** Loaded before a program, it ends it when it asks for anything but this computer. */
let noNetwork: string;

// Everything here is of the file, not of one test: the archive is made and unpacked once.
beforeAll(async () => {
  if (few) return;
  const made = await run(process.execPath, ["src/build/release.mjs"], checkout);
  expect(made, made.complaint).toMatchObject({ code: 0 });
  const archive = await readFile(join("dist", `bole-${version}.zip`));
  const folder = await realpath(await mkdtemp(join(tmpdir(), "bole für unterwegs ")));
  for (const { name, bytes, mode } of unzip(archive)) {
    const path = join(folder, name);
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, bytes);
    await chmod(path, mode);
  }
  home = join(folder, `bole-${version}`);
  noNetwork = join(folder, "noNetwork.cjs");
  await writeFile(
    noNetwork,
    `const net = require("node:net"), dns = require("node:dns"), { connect } = net.Socket.prototype, { lookup } = dns;
const refuse = (what) => { process.stderr.write("asked the network: " + what + "\\n"); process.exit(99); };
dns.lookup = (name, ...rest) => (name === "127.0.0.1" ? lookup(name, ...rest) : refuse(name));
net.Socket.prototype.connect = function (...args) {
  const { host = "127.0.0.1", path } = [args[0]].flat()[0] ?? {};
  return path || host === "127.0.0.1" ? connect.apply(this, args) : refuse(host);
};`,
  );
  const files = {
    "film.csv": flatFilm(0.02, 0.1),
    "black.csv": flatSpectrum(0.1),
    "white.csv": flatSpectrum(0.4),
    "shelf.csv": await shelfFile(),
  };
  for (const [name, text] of Object.entries(files)) await writeFile(join(home, name), text);
  return () => rm(folder, { recursive: true, force: true });
}, 300_000);

/** A small file of films from the ladder of the examples. */
const shelfFile = () => readFile("data/examples/drawdowns-rose.csv", "utf8");

const quiet = () => ({ NODE_OPTIONS: `--require "${noNetwork}"` });

/** What is asked of each command; the paths are those in the archive. */
const asked: Record<string, string[]> = {
  run: ["examples/the-lantern-room.json"],
  sheet: ["examples/from-colour-to-job.json"],
  film: ["--layer", "film.csv:20", "--ground", "0.8"],
  lab: ["white.csv", "--observer", "1964-10", "--illuminant", "D65", "--illuminant", "FL11"],
  difference: ["50,2.6772,-79.7751", "50,0,-82.7485"],
  grounds: ["black.csv", "white.csv", "--black", "0.05", "--white", "0.8"],
  calibrate: ["examples/drawdowns-rose.csv"],
  shelf: ["shelf.csv", "--range", "400-700"],
  eye: ["examples/no-instrument.json", "--csv"],
  page: ["examples/the-lantern-room.json"],
};

describe("an archive, unpacked into a folder with a space and an umlaut in its name", () => {
  test("its command line knows every command, by its own name", async () => {
    const { code, out } = await run("./bole", ["--help"], home, quiet());
    expect(code).toBe(0);
    const commands = [...out.matchAll(/^ {2}([a-z]+) {2,}\S/gm)].map(([, name]) => name);
    expect(commands.sort()).toEqual(Object.keys(asked).sort());
    expect(out).toContain("\n  bole COMMAND …\n");
    expect(out).not.toContain("npm");
    const wrong = await run("./bole", ["difference", "1"], home, quiet());
    expect([wrong.code, wrong.complaint]).toEqual([
      2,
      expect.stringMatching(/See bole difference --help\.\n$/),
    ]);
  });

  // identity: the same sources
  test.each(Object.keys(asked))("bole %s says what the checkout says", { timeout: 240_000 }, async (name) => {
    const args = [name, ...asked[name]];
    const there = await run("./bole", args, home, quiet());
    expect(there.code, there.complaint).toBe(0);
    expect(there.out.length).toBeGreaterThan(100);
    const here = await run(process.execPath, [join(checkout, "src/cli/bole.mjs"), ...args], home);
    expect(there).toEqual(here);
  });

  test("is started through a link too", async () => {
    const link = join(dirname(home), "bole link");
    await symlink(join(`bole-${version}`, "bole"), link);
    expect((await run(link, ["difference", "1,2,3", "1,2,3"], tmpdir())).code).toBe(0);
  });

  test("serves the workbench; notebooks are kept beside the start file", async () => {
    const served = await serve();
    const { page, problems } = await openPage("/?notebook=the-lantern-room", { address: served.address });
    await opened(page);
    expect(problems).toEqual([]);
    const kept = await readFile(join(home, "notebooks", "the-lantern-room.bole.json"), "utf8");
    expect(JSON.parse(kept).title).toMatch(/^The Lantern Room: /);
    await page.keyboard.press("F1");
    await expect.poll(() => page.getByRole("dialog").innerText()).toContain(`Bole ${version}.`);
    await page.close();
    expect(await served.stop()).toBe(0);
    expect(served.output()).not.toContain("asked the network");
  });

  // source: W3C Web Application Manifest, as the browser itself reads it
  test("the page can be installed as an app", async () => {
    const { page, problems } = await openPage("/");
    const session = await page.context().newCDPSession(page);
    const { url, errors, data } = await session.send("Page.getAppManifest");
    expect([url, errors]).toEqual([new URL("/app.webmanifest", page.url()).href, []]);
    const { icons, start_url: start, display } = JSON.parse(data!);
    expect([start, display]).toEqual(["/", "minimal-ui"]);
    for (const { src, sizes, type } of icons) {
      const answer = await page.request.get(new URL(src, url).href);
      expect([answer.status(), answer.headers()["content-type"]]).toEqual([200, type]);
      const size = await page.evaluate(async (src) => {
        const image = new Image();
        image.src = src;
        await image.decode();
        return `${image.naturalWidth}x${image.naturalHeight}`;
      }, src);
      expect(size).toBe(sizes);
    }
    // common practice: browsers based on Chromium ask for one of 192 px and one of 512 px
    expect(icons.map(({ sizes }: { sizes: string }) => sizes)).toEqual(["192x192", "512x512", "512x512"]);
    expect(problems).toEqual([]);
  });

  test("a notebook that a newer Bole has written is told as such, on the page and without one", async () => {
    const file = join(notebookFolder(), "of-tomorrow.bole.json");
    await writeFile(
      file,
      '{"format":"bole-notebook","version":99,"title":"Of tomorrow","cells":[],"more":{}}',
    );
    const words =
      /version 99; this Bole reads versions 1 to \d\. A newer Bole has written it: open it with that one/;
    const { page } = await openPage("/?notebook=of-tomorrow");
    await expect.poll(() => page.getByRole("alert").first().innerText()).toMatch(words);
    const { code, complaint } = await run("./bole", ["run", file], home);
    expect([code, complaint]).toEqual([2, expect.stringMatching(words)]);
  });

  test("says in words that Node.js is missing", async () => {
    // Of all programs only those that the start file itself calls. A Node.js in the further places would be found.
    const bin = join(dirname(home), "bin");
    await mkdir(bin);
    for (const tool of ["dirname", "readlink"]) await symlink(await pathOf(tool), join(bin, tool));
    const text = await readFile(join(home, "start-bole.sh"), "utf8");
    const elsewhere = text.replace(/^PATH=.*\n/m, "");
    expect(elsewhere).not.toBe(text);
    await writeFile(join(home, "start-elsewhere.sh"), elsewhere);
    const said = await run("/bin/sh", ["start-elsewhere.sh"], home, { PATH: bin });
    expect(said).toEqual({
      code: 1,
      out: "",
      complaint: expect.stringMatching(/^Bole needs Node\.js 20\.19 or newer, and no Node\.js was found/),
    });
    expect(said.complaint).toContain("https://nodejs.org");
  });

  test.each(["20.18.3", "18.20.4", "0.12.18"])("says in words that Node.js %s is too old", async (node) => {
    const older = join(dirname(home), `node-${node}.cjs`);
    await writeFile(
      older,
      `Object.defineProperty(process, "versions", { value: { ...process.versions, node: "${node}" } });`,
    );
    for (const file of ["start-bole.sh", "bole"]) {
      const said = await run("/bin/sh", [file, "--help"], home, { NODE_OPTIONS: `--require "${older}"` });
      const complaint = `Bole needs Node.js 20.19 or newer, and this computer has Node.js ${node}.\n`;
      expect(said).toEqual({ code: 1, out: "", complaint: expect.stringContaining(complaint) });
    }
  });

  test("tells what it needs as the project does, and what was not tried", async () => {
    const readMe = await readFile(join(home, "READ ME.txt"), "utf8");
    expect(engines.node).toBe(">=20.19");
    expect(readMe).toContain(`Bole ${version}: `);
    expect(readMe).toContain("You need Node.js 20.19 or newer");
    expect(readMe.match(/not tried yet/g)).toHaveLength(3);
    const windows = await readFile(join(home, "start-bole.cmd"), "utf8");
    expect(windows.split("\r\n").length).toBe(windows.split("\n").length);
  });
});

async function pathOf(tool: string): Promise<string> {
  const { out } = await run("/bin/sh", ["-c", `command -v ${tool}`], home);
  return out.trim();
}

/** The workbench as a person starts it on Linux; the folder of its notebooks is the usual one. */
async function serve() {
  const child = spawn("./start-bole.sh", ["--port", "0", "--no-open"], {
    cwd: home,
    env: { ...inherited, ...quiet() },
    stdio: ["ignore", "pipe", "pipe"],
  });
  onTestFinished(() => void child.kill("SIGKILL"));
  let output = "";
  const ended = new Promise<number | null>((done) => child.once("close", done));
  for (const stream of [child.stdout, child.stderr]) stream.on("data", (chunk) => (output += chunk));
  const address = () => /Bole is at (http:\/\/127\.0\.0\.1:\d+)/.exec(output)?.[1];
  await expect.poll(address).toBeDefined();
  return {
    address: address()!,
    output: () => output,
    stop: () => {
      child.kill("SIGTERM");
      return ended;
    },
  };
}
