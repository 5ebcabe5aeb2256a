import { rm } from "node:fs/promises";
import { describe, expect, test } from "vitest";
import { builtPage } from "./builtPage.ts";
import { runningServer } from "./runningServer.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

describe("the page", () => {
  test("carries the token of this start and the strict policy", async () => {
    const { send, workplace } = await runningServer({ pageFolder: await builtPage() });
    for (const path of ["/", "/index.html", "/?notebook=a"]) {
      const reply = await send(path);
      expect(reply.status).toBe(200);
      expect(reply.text).toContain(`<meta name="bole-token" content="${workplace.token}">\n</head>`);
      expect(reply.headers["cache-control"]).toBe("no-store");
      const policy = String(reply.headers["content-security-policy"]).split("; ");
      expect(policy).toEqual(
        expect.arrayContaining([
          "default-src 'none'",
          "script-src 'self'",
          "connect-src 'self'",
          "base-uri 'none'",
          "form-action 'none'",
          "frame-ancestors 'none'",
        ]),
      );
      expect(policy.join()).not.toMatch(/unsafe|\*|https?:/);
    }
  });

  test("has its files with their types and the same policy; workers take the policy of their file", async () => {
    const { send } = await runningServer({ pageFolder: await builtPage() });
    const script = await send("/assets/main-abc.js");
    expect([script.text, script.headers["content-type"]]).toEqual([
      "export {};",
      "text/javascript; charset=utf-8",
    ]);
    expect(script.headers["cache-control"]).toContain("immutable");
    expect(script.headers["content-security-policy"]).toContain("default-src 'none'");
    expect((await send("/mark.svg")).headers["content-type"]).toBe("image/svg+xml");
    const head = await send("/mark.svg", { method: "HEAD" });
    expect([head.status, head.text, head.headers["content-length"]]).toEqual([200, "", "6"]);
  });

  test.each([
    "/assets",
    "/assets/",
    "/other",
    "/../page.test.ts",
    "/%2e%2e/etc/passwd",
    "/assets/../../index.html",
    "//",
  ])("has nothing at %s", async (path) => {
    const { send } = await runningServer({ pageFolder: await builtPage() });
    expect((await send(path)).status).toBe(404);
  });

  test("can only be read", async () => {
    const { send } = await runningServer({ pageFolder: await builtPage() });
    expect((await send("/", { method: "POST", body: {} })).status).toBe(405);
  });

  test("is refused to other sites", async () => {
    const { send } = await runningServer({ pageFolder: await builtPage() });
    expect((await send("/", { headers: { host: "attacker.example" } })).text).not.toContain("bole-token");
    expect((await send("/", { headers: { "sec-fetch-site": "cross-site" } })).text).not.toContain(
      "bole-token",
    );
  });

  test("is the one from the start, whatever a later build does to its folder", async () => {
    const pageFolder = await builtPage();
    const { send } = await runningServer({ pageFolder });
    await rm(pageFolder, { recursive: true });
    expect((await send("/assets/main-abc.js")).status).toBe(200);
  });

  test("is missed with a clear message", async () => {
    await expect(runningServer({ pageFolder: await temporaryFolder() })).rejects.toThrow(
      /no index\.html.*npm run build/,
    );
  });
});
