import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, readdir, readFile, realpath, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, onTestFinished, test } from "vitest";
import { openPage } from "./harness.ts";
import { type RealServer, startRealServer } from "./realServer.ts";

async function started(folder?: string): Promise<RealServer> {
  const server = await startRealServer({ folder });
  onTestFinished(async () => {
    await server.stop();
  });
  return server;
}

async function ownFolder(): Promise<string> {
  const folder = await realpath(await mkdtemp(join(tmpdir(), "bole-e2e-")));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  return folder;
}

/** Sends a request as the page does. */
async function call(server: RealServer, method: string, path: string, body?: unknown) {
  const { token } = (await (await fetch(`${server.address}/api/session`)).json()) as { token: string };
  const response = await fetch(`${server.address}/api/${path}`, {
    method,
    headers: { "x-bole-token": token, ...(body === undefined ? {} : { "content-type": "application/json" }) },
    body: body === undefined ? undefined : JSON.stringify(body),
    signal: AbortSignal.timeout(10_000),
  });
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the tests
  return { status: response.status, json: (await response.json()) as any };
}

const notebook = (title: string) => ({ format: "bole-notebook", version: 1, title, cells: [] });

describe("the server as a user starts it", () => {
  test("says where it is, serves the page without a complaint of the browser, and stops when told", async () => {
    const server = await started();
    expect(server.output()).toMatch(
      /^Notebooks are in .*\nBole is at http:\/\/127\.0\.0\.1:\d+\/.* \(stop with Ctrl\+C\)\n$/,
    );
    const { page, problems } = await openPage("/", { address: server.address });
    expect(await page.locator('meta[name="bole-token"]').getAttribute("content")).toMatch(/^[0-9a-f]{48}$/);
    await page.waitForLoadState("load");
    expect(problems).toEqual([]);
    for (const signal of ["SIGTERM", "SIGINT"] as const) {
      const other = signal === "SIGTERM" ? server : await started();
      expect(await other.stop(signal)).toBe(0);
    }
  });

  test("begins with the opening page, and the next time with the notebook last used", async () => {
    const folder = await ownFolder();
    const first = await started(folder);
    expect(first.output()).toMatch(/^Bole is at http:\/\/127\.0\.0\.1:\d+\/ \(/m);
    const { page } = await openPage("/", { address: first.address });
    const cards = page.getByRole("region", { name: "Begin" }).getByRole("button");
    await expect.poll(() => cards.first().innerText()).toContain("Try the demo");
    await call(first, "GET", "notebooks/the-lantern-room");
    await first.stop();
    const again = await started(folder);
    expect(again.output()).toMatch(/^Bole is at \S+\/\?notebook=the-lantern-room \(/m);
  });

  test("lets the page load and run nothing but its own files", async () => {
    const { page, problems } = await openPage("/");
    await page.evaluate(() => {
      const script = document.createElement("script");
      script.textContent = "document.title = 'inline script ran'";
      const image = document.createElement("img");
      image.src = "http://127.0.0.1:9/picture.png";
      const styled = document.createElement("p");
      styled.setAttribute("style", "color: red");
      document.body.append(script, image, styled);
      return fetch("http://127.0.0.1:9/").catch(() => undefined);
    });
    expect(await page.title()).not.toBe("inline script ran");
    for (const directive of ["script-src", "img-src", "style-src", "connect-src"]) {
      await expect.poll(() => problems.join("\n")).toContain(directive);
    }
  });

  test("keeps every confirmed save when it is killed while saving, and starts again on the folder", async () => {
    const folder = await ownFolder();
    const first = await started(folder);
    let { revision } = (await call(first, "POST", "notebooks", { name: "a", document: notebook("0") })).json;
    let confirmed = 0;
    let many = () => {};
    const enough = new Promise<void>((resolve) => (many = resolve));
    const saving = (async () => {
      for (let i = 1; ; i++) {
        const { json } = await call(first, "PUT", "notebooks/a", {
          document: notebook(String(i)),
          basedOn: revision,
        });
        revision = json.revision;
        confirmed = i;
        if (confirmed === 20) many();
      }
    })().catch(() => "the server is gone");
    await Promise.race([enough, saving]);
    expect(await first.stop("SIGKILL")).toBe("SIGKILL");
    expect(await saving).toBe("the server is gone");

    const { title } = JSON.parse(await readFile(join(folder, "a.bole.json"), "utf8"));
    // The save that was under way may have been written before its answer was sent.
    expect([confirmed, confirmed + 1]).toContain(Number(title));
    const second = await started(folder);
    // Before a notebook is looked at, which is noted by way of the same folder.
    expect(await readdir(join(folder, ".bole", "temporary"))).toEqual([]);
    expect((await call(second, "GET", "notebooks/a")).json.text).toContain(`"title": "${title}"`);
    expect((await call(second, "GET", "notebooks/a/revisions")).json.revisions.length).toBeGreaterThanOrEqual(
      confirmed,
    );
  });

  test("refuses a folder that another server uses, and a wrong option", async () => {
    const server = await started();
    const run = async (...args: string[]) => {
      const child = spawn(process.execPath, ["src/server/start.mjs", "--no-open", ...args], {
        stdio: ["ignore", "pipe", "pipe"],
      });
      let out = "";
      let complaint = "";
      child.stdout.on("data", (chunk) => (out += chunk));
      child.stderr.on("data", (chunk) => (complaint += chunk));
      const [code] = await once(child, "close");
      return { code, out, complaint };
    };
    expect(await run("--folder", server.folder, "--port", "0")).toEqual({
      code: 1,
      out: "",
      complaint: expect.stringContaining(`already in use by a running server at ${server.address}`),
    });
    const taken = new URL(server.address).port;
    expect((await run("--folder", await ownFolder(), "--port", taken)).complaint).toMatch(
      /^Port \d+ is taken.*--port/,
    );
    expect((await run("--prot", "1")).code).toBe(2);
    expect((await run("--port", "80x")).complaint).toMatch(/--port has to be a whole number/);
    const help = await run("--help");
    expect([help.code, help.out]).toEqual([0, expect.stringMatching(/--folder DIR[\s\S]*--no-open/)]);
  });
});
