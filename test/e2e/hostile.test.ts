import { mkdir, mkdtemp, readdir, readFile, realpath, rm, symlink, writeFile } from "node:fs/promises";
import { createServer } from "node:http";
import { type AddressInfo, connect } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from "vitest";
import { browserLaunch } from "../browserLaunch.mjs";
import { cellNamed, textOf } from "./demo.ts";
import { openPage } from "./harness.ts";
import { type RealServer, startRealServer } from "./realServer.ts";
import { allSaved, fileOf, putNotebook, readNotebook, smallNotebook } from "./storagePage.ts";

let around: string;
let server: RealServer;
const port = () => Number(new URL(server.address).port);

beforeAll(async () => {
  around = await realpath(await mkdtemp(join(tmpdir(), "bole-e2e-")));
  const folder = join(around, "notebooks");
  await mkdir(folder);
  await putNotebook(folder, "small", smallNotebook("Small"));
  server = await startRealServer({ folder });
});
afterAll(async () => {
  await server?.stop();
  await rm(around, { recursive: true, force: true });
});

/** Everything in the folder and around it that an attack could change. */
async function everything(): Promise<Record<string, string>> {
  const found: Record<string, string> = {};
  for (const path of await readdir(around, { recursive: true })) {
    if (/lock\.json$|\.bole[/\\]temporary/.test(path)) continue;
    found[path] = await readFile(join(around, path), "utf8").catch(() => "a folder");
  }
  return found;
}

/** A page of another site that does its worst when it is opened. */
async function foreignSite(html: (target: string) => string): Promise<number> {
  const site = createServer((_, response) => {
    response.setHeader("content-type", "text/html");
    response.end(html(server.address));
  });
  await new Promise<void>((resolve) => site.listen(0, "127.0.0.1", resolve));
  onTestFinished(() => void site.close());
  return (site.address() as AddressInfo).port;
}

describe("other sites", () => {
  let browser: Browser;
  beforeAll(async () => {
    const launch = await browserLaunch();
    // Names of an attacker lead to this computer, as after a change of the attacker's name server.
    browser = await chromium.launch({
      ...launch,
      args: [...launch.args, "--host-resolver-rules=MAP *.example 127.0.0.1"],
    });
  });
  afterAll(() => browser?.close());

  async function visit(address: string): Promise<Page> {
    const context = await browser.newContext();
    onTestFinished(() => context.close());
    const page = await context.newPage();
    await page.goto(address);
    return page;
  }

  test("a foreign name that leads to this computer gets neither the page, nor its token, nor a notebook", async () => {
    const before = await everything();
    for (const path of ["/", "/api/session", "/api/notebooks", "/api/notebooks/small", "/api/events"]) {
      const page = await visit(`http://rebound.example:${port()}${path}`);
      const text = await page.evaluate(() => document.documentElement.outerHTML);
      expect(text).toContain("host name of the request");
      expect(text).not.toMatch(/bole-token|[0-9a-f]{48}|Seat/);
    }
    const page = await visit(`http://rebound.example:${port()}/`);
    const answers = await page.evaluate(async () => {
      const ask = (path: string, init?: RequestInit) =>
        fetch(path, init).then(
          (reply) => reply.status,
          () => "failed",
        );
      return [
        await ask("/api/session"),
        await ask("/api/notebooks", {
          method: "POST",
          body: "{}",
          headers: { "content-type": "application/json" },
        }),
        await ask("/api/notebooks/small", { method: "DELETE" }),
      ];
    });
    for (const answer of answers) expect([403, "failed"]).toContain(answer);
    expect(await everything()).toEqual(before);
  });

  test("a page of another site can neither change, nor read, nor frame anything", async () => {
    const before = await everything();
    const at = await foreignSite(
      (target) => `<!doctype html><body>
        <form id="plain" method="post" enctype="text/plain" action="${target}/api/notebooks" target="hole">
          <input name='{"name":"evil","document":{"format":"bole-notebook","version":1,"title":"' value='","cells":[]}}'>
        </form>
        <form id="urlencoded" method="post" action="${target}/api/notebooks/small/rename" target="hole">
          <input name="to" value="evil">
        </form>
        <iframe name="hole"></iframe><iframe id="framed" src="${target}/"></iframe>
        <script src="${target}/api/notebooks" onload="window.ran = true"></script>
        <img src="${target}/api/notebooks" onload="window.drawn = true">
        <script>
          for (const form of document.forms) form.submit();
          const body = JSON.stringify({ name: "evil", document: { format: "bole-notebook", version: 1, title: "", cells: [] } });
          const tries = [
            ["/api/notebooks", { method: "POST", body, mode: "no-cors", headers: { "content-type": "text/plain" } }],
            ["/api/notebooks", { method: "POST", body, headers: { "content-type": "application/json" } }],
            ["/api/notebooks/small", { method: "DELETE" }],
            ["/api/notebooks/small", {}],
            ["/api/session", { credentials: "include" }],
            ["/api/session", { mode: "no-cors" }],
          ];
          window.answers = Promise.all(tries.map(([path, init]) => fetch("${target}" + path, init).then(
            async (reply) => reply.type + " " + reply.status + " " + await reply.text(), (error) => "failed")));
          const events = new EventSource("${target}/api/events");
          events.onmessage = () => { window.heard = true };
          events.onerror = () => { window.turnedAway = true };
        </script>`,
    );
    // Another port of this computer, and a name of another site: neither is ours.
    for (const host of ["127.0.0.1", "attacker.example"]) {
      const page = await visit(`http://${host}:${at}/`);
      const answers = await page.evaluate(
        () => (window as unknown as { answers: Promise<string[]> }).answers,
      );
      for (const answer of answers) expect(["failed", "opaque 0 "]).toContain(answer);
      await page.waitForFunction("window.turnedAway");
      expect(await page.evaluate("[window.ran, window.drawn, window.heard]")).toEqual([
        undefined,
        undefined,
        undefined,
      ]);
      const shown = await Promise.all(
        page
          .frames()
          .filter((frame) => frame !== page.mainFrame())
          .map((frame) =>
            frame.evaluate(() => document.querySelector("bole-workbench") !== null).catch(() => false),
          ),
      );
      expect(shown).toEqual(shown.map(() => false));
    }
    expect(await everything()).toEqual(before);
  });
});

/** Sends bytes as they are, without a client that would tidy them up. */
function raw(bytes: string): Promise<string> {
  return new Promise((resolve) => {
    const socket = connect(port(), "127.0.0.1", () => socket.write(bytes));
    let text = "";
    socket.setEncoding("latin1").on("data", (chunk) => {
      text += chunk;
      if (/\r\n\r\n[\s\S]/.test(text)) socket.destroy();
    });
    socket.on("error", () => undefined).on("close", () => resolve(text));
    socket.setTimeout(5000, () => socket.destroy());
  });
}

/**
 * Waits until whatever a page was made to run has had its turn: a picture that fails now is told after all that failed
 * before, and two frames later every link that was followed has been as well.
 */
async function everythingRun(page: Page): Promise<void> {
  await page.evaluate(async () => {
    const picture = new Image();
    const failed = new Promise((resolve) => picture.addEventListener("error", resolve));
    picture.src = "data:image/png,";
    await failed;
    for (let frame = 0; frame < 2; frame++) await new Promise(requestAnimationFrame);
  });
}

async function token(): Promise<string> {
  return ((await (await fetch(`${server.address}/api/session`)).json()) as { token: string }).token;
}

describe("ways out of the folder", () => {
  test("dots and slashes in any spelling lead nowhere", async () => {
    await writeFile(join(around, "secret.bole.json"), JSON.stringify(smallNotebook("Secret")));
    const before = await everything();
    const names = [
      "../secret",
      "..%2fsecret",
      "%2e%2e%2fsecret",
      "..%5csecret",
      "%252e%252e%252fsecret",
      "..%c0%afsecret",
      "small%00",
      "small/../../secret",
      "%2fetc%2fpasswd",
      "....%2f%2fsecret",
      ".bole",
      "secret%2ebole",
    ];
    for (const name of names)
      for (const [method, path] of [
        ["GET", `/api/notebooks/${name}`],
        ["DELETE", `/api/notebooks/${name}`],
        ["GET", `/api/notebooks/small/revisions/${name}`],
        ["GET", `/api/library/${name}`],
        ["POST", `/api/bin/${name}/restore`],
        ["GET", `/${name}`],
      ]) {
        const answer = await raw(
          `${method} ${path} HTTP/1.1\r\nhost: 127.0.0.1:${port()}\r\nx-bole-token: ${await token()}\r\n` +
            "content-type: application/json\r\ncontent-length: 2\r\nconnection: close\r\n\r\n{}",
        );
        expect(answer, `${method} ${path}`).toMatch(/^HTTP\/1\.1 4\d\d [\s\S]*"error":"/);
        expect(answer).not.toContain("Secret");
      }
    expect(await everything()).toEqual(before);
  });

  test("a link in the folder or in the library is neither read, nor written through", async () => {
    await writeFile(join(around, "linked.txt"), JSON.stringify(smallNotebook("Secret")));
    await symlink(join(around, "linked.txt"), fileOf(server.folder, "linked"));
    await symlink(join(around, "linked.txt"), join(server.folder, "library", "linked.bole-item.json"));
    const before = await readFile(join(around, "linked.txt"), "utf8");
    const { page } = await openPage("/?notebook=linked", { address: server.address });
    await expect.poll(() => page.getByRole("alert").first().innerText()).toContain("links are not followed");
    expect(await page.content()).not.toContain("Secret");
    const headers = { "x-bole-token": await token(), "content-type": "application/json" };
    const body = JSON.stringify({ document: smallNotebook("Mine"), basedOn: "0" });
    for (const [method, path] of [
      ["PUT", "notebooks/linked"],
      ["DELETE", "notebooks/linked"],
      ["POST", "notebooks/linked/duplicate"],
      ["POST", "library/linked/versions"],
    ])
      expect(
        (
          await fetch(`${server.address}/api/${path}`, {
            method,
            headers,
            body: method === "DELETE" ? null : body,
          })
        ).status,
      ).toBeGreaterThanOrEqual(400);
    expect(await readFile(join(around, "linked.txt"), "utf8")).toBe(before);
  });
});

test("a body of 1 GB is cut off early", async () => {
  const given = await token();
  const head = (length: string) =>
    `PUT /api/notebooks/small HTTP/1.1\r\nhost: 127.0.0.1:${port()}\r\nx-bole-token: ${given}\r\ncontent-type: application/json\r\n${length}\r\n\r\n`;
  expect(await raw(head("content-length: 1073741824"))).toMatch(/^HTTP\/1\.1 413 [\s\S]*larger than 20 MB/);

  const chunk = Buffer.concat([Buffer.from("100000\r\n"), Buffer.alloc(0x100000, 0x20), Buffer.from("\r\n")]);
  let [sent, text] = [0, ""];
  await new Promise<void>((resolve) => {
    const socket = connect(port(), "127.0.0.1", () => {
      socket.write(head("transfer-encoding: chunked"));
      const more = () => {
        while (sent < 1024 && socket.writable) {
          sent++;
          if (!socket.write(chunk)) return void socket.once("drain", more);
        }
      };
      more();
    });
    socket.setEncoding("latin1").on("data", (data) => (text += data));
    socket.on("error", () => undefined).on("close", () => resolve());
    socket.setTimeout(10_000, () => socket.destroy());
  });
  console.log(`a body of 1 GB: cut off after ${sent} MB, answered ${text.slice(9, 12) || "by closing"}`);
  expect(sent).toBeLessThan(200);
  expect(text === "" || text.startsWith("HTTP/1.1 413")).toBe(true);
  expect((await fetch(`${server.address}/api/notebooks/small`)).status).toBe(200);
});

describe("notebooks with bad intent", () => {
  /** Set by anything that should not have run. */
  const mark = "window.hacked = true";
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" onload="${mark}"><script>${mark}</script></svg>`;
  const markdown = [
    "Plain words at the start.",
    `<script>${mark}</script>`,
    `<img src="x" onerror="${mark}">`,
    `<svg onload="${mark}"><script>${mark}</script></svg>`,
    `<iframe srcdoc="<script>parent.${mark}</script>"></iframe>`,
    `[a link](javascript:${mark.replaceAll(" ", "")})`,
    `[another](data:text/html,<script>${mark}</script>)`,
    `![picture](http://attacker.example/track.png)`,
    `![drawing](data:image/svg+xml;base64,${Buffer.from(svg).toString("base64")})`,
    `<a href="&#106;avascript:${mark}">third link</a>`,
    `<form action="http://attacker.example"><button>send</button></form>`,
    `<style>* { background: url(http://attacker.example/) }</style>`,
    `<math><mtext><table><mglyph><style><img src=x onerror="${mark}">`,
    `<div style="position:fixed;inset:0" onclick="${mark}" id="title" class="toast">over all</div>`,
  ].join("\n\n");
  const badTitle = `"><script>${mark}</script><img src=x onerror="${mark}"><svg onload="${mark}">\u202e`;

  test("script in notes, titles and names does not run, reaches nobody, and covers nothing", async () => {
    const document = smallNotebook(badTitle, [badTitle]);
    await putNotebook(server.folder, "bad", {
      ...document,
      cells: document.cells.map((cell) =>
        cell.id === "note" ? { ...cell, title: badTitle, parameters: { text: markdown } } : cell,
      ),
    });
    const { page, problems } = await openPage("/?notebook=bad", { address: server.address });
    await page.getByText("Plain words at the start.").waitFor();
    await page.getByRole("button", { name: "Notebooks" }).click();
    await page.getByRole("button", { name: "Earlier states" }).click();
    // Make a change, so that the words for undo, with the title in them, are shown as well.
    await page.getByLabel("How many", { exact: true }).fill("3");
    await page.keyboard.press("Enter");
    await allSaved(page);
    for (const link of await page.locator("bole-view-note a").all())
      await link.click({ timeout: 500 }).catch(() => undefined);
    await everythingRun(page);
    expect(await page.evaluate("window.hacked")).toBeUndefined();
    const inside = await page.locator("bole-view-note .text").evaluate((text) => ({
      tags: [...new Set([...text.querySelectorAll("*")].map((element) => element.localName))],
      attributes: [
        ...new Set([...text.querySelectorAll("*")].flatMap((element) => element.getAttributeNames())),
      ],
      links: [...text.querySelectorAll("a")].map((link) => link.getAttribute("href")),
    }));
    for (const tag of ["script", "iframe", "svg", "math", "style", "form", "button", "img", "object"])
      expect(inside.tags).not.toContain(tag);
    expect(
      inside.attributes.filter((name) => name.startsWith("on") || ["style", "id", "class"].includes(name)),
    ).toEqual([]);
    for (const href of inside.links) if (href !== null) expect(href).not.toMatch(/^\s*(javascript|data):/i);
    // The policy tells of the styles that were still in the text when it was taken apart to be cleaned; nothing else.
    const told = problems.filter((line) => !line.includes("Applying inline style"));
    expect(told).toEqual([]);
    expect((await readNotebook(server.folder, "bad")).title).toBe(badTitle);
  });

  test("the page's own policy would stop a script that got in all the same", async () => {
    const { page, problems } = await openPage("/?notebook=small", { address: server.address });
    await cellNamed(page, "Seat").waitFor();
    await page.evaluate((text) => {
      const script = document.createElement("script");
      script.textContent = text;
      document.body.append(script);
      const picture = document.createElement("img");
      picture.setAttribute("onerror", text);
      picture.src = "/nothing.png";
      document.body.append(picture);
      const drawing = document.createElement("div");
      drawing.innerHTML = `<svg onload="${text}"></svg><a id="trap" href="javascript:${text}">trap</a>`;
      document.body.append(drawing);
      (document.querySelector("#trap") as HTMLElement).click();
    }, mark);
    const refused = () => problems.filter((line) => line.includes("Content Security Policy")).length;
    await expect.poll(refused).toBeGreaterThanOrEqual(3);
    await everythingRun(page);
    expect(await page.evaluate("window.hacked")).toBeUndefined();
  });

  test("files that are no notebooks are refused in words", async () => {
    const files: [what: string, text: string, message: RegExp][] = [
      [
        "key",
        `{"format":"bole-notebook","version":1,"title":"x","cells":[],"__proto__":{"hacked":true}}`,
        /key\.json: .*__proto__.*not allowed/,
      ],
      [
        "deep key",
        JSON.stringify({
          ...smallNotebook("x"),
          cells: [
            {
              id: "a",
              kind: "note",
              title: "",
              parameters: { a: { constructor: { prototype: { hacked: true } } } },
              inputs: {},
            },
          ],
        }),
        /deep key\.json: .*constructor.*not allowed/,
      ],
      [
        "nesting",
        `{"format":"bole-notebook","version":1,"title":"x","cells":[{"id":"a","kind":"note","title":"","inputs":{},"parameters":{"a":${"[".repeat(50_000)}${"]".repeat(50_000)}}}]}`,
        /nesting\.json: .*(?:nested more than|valid JSON)/,
      ],
      ["drawing", svg, /drawing\.json: .*not valid JSON/],
    ];
    const { page, problems } = await openPage("/?notebook=small", { address: server.address });
    await cellNamed(page, "Seat").waitFor();
    await page.getByRole("button", { name: "Notebooks" }).click();
    for (const [what, text, message] of files) {
      await page
        .locator("bole-notebooks bole-file input[type=file]")
        .setInputFiles({ name: `${what}.json`, mimeType: "application/json", buffer: Buffer.from(text) });
      await expect.poll(() => textOf(page.locator("bole-notebooks"))).toMatch(message);
    }
    expect(await page.evaluate("({}).hacked")).toBeUndefined();
    expect(await page.evaluate("window.hacked")).toBeUndefined();
    expect(problems).toEqual([]);
  });

  test("such a file put into the folder is listed as one that cannot be read, and harms no other", async () => {
    await writeFile(
      fileOf(server.folder, "trap"),
      `{"format":"bole-notebook","version":1,"title":"Trap","cells":[],"__proto__":{"hacked":true}}`,
    );
    await writeFile(fileOf(server.folder, "deep"), "[".repeat(1_000_000));
    const { page } = await openPage("/?notebook=trap", { address: server.address });
    await page.getByRole("heading", { name: "This notebook could not be opened" }).waitFor();
    await expect.poll(() => textOf(page.locator("bole-notebooks"))).toMatch(/trap \(cannot be read\)/);
    expect(await page.evaluate("({}).hacked")).toBeUndefined();
    await page.getByRole("button", { name: "Small", exact: true }).click();
    await cellNamed(page, "Seat").waitFor();
  });
});
