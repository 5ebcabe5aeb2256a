import { X509Certificate } from "node:crypto";
import { mkdtemp, readdir, realpath, rm } from "node:fs/promises";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { connect } from "node:tls";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from "vitest";
import { cellNamed, textOf } from "./demo.ts";
import { accessibilityFaults, openPage, type WorkbenchPage } from "./harness.ts";
import { type RealServer, startRealServer } from "./realServer.ts";
import { allSaved, countShown, putNotebook, saved, setCount, smallNotebook } from "./storagePage.ts";

let around: string;
let folder: string;
let server: RealServer;
let shop: string;

beforeAll(async () => {
  around = await realpath(await mkdtemp(join(tmpdir(), "bole-e2e-")));
  folder = join(around, "notebooks");
  server = await startRealServer({
    folder,
    // An address of the loopback range: as from another computer, and with no other one listening.
    args: ["--shop-network", "--shop-address", "127.0.0.2", "--shop-port", "0"],
    environment: { XDG_CONFIG_HOME: join(around, "config"), APPDATA: join(around, "config"), HOME: around },
  });
  shop = /open at (https:\/\/127\.0\.0\.2:\d+)/.exec(server.output())![1];
  const small = smallNotebook("Small");
  await putNotebook(folder, "small", {
    ...small,
    cells: [
      ...small.cells,
      { id: "photo", kind: "photo", title: "Colour of the seat", parameters: {}, inputs: {} },
    ],
  });
});
afterAll(async () => {
  await server?.stop();
  await rm(around, { recursive: true, force: true });
});

const onDevice = { ignoreHTTPSErrors: true, width: 390, height: 800, hasTouch: true, isMobile: true };

/** The computer with its list of devices open. */
async function computer(): Promise<WorkbenchPage> {
  const window = await openPage("/?notebook=small", { address: server.address });
  await cellNamed(window.page, "Seat").waitFor();
  await window.page.getByRole("button", { name: "Notebooks" }).click();
  await window.page.getByRole("button", { name: "Devices" }).click();
  await window.page.getByRole("heading", { name: "Devices" }).waitFor();
  return window;
}

/** A device in a browser of its own that types the code, and is let in. */
async function pairedDevice(atComputer: Page, name: string): Promise<WorkbenchPage> {
  await atComputer.getByRole("button", { name: "Pair a device" }).click();
  const code = (await atComputer.getByLabel("Code", { exact: true }).innerText()).trim();
  const device = await openPage("/", { address: shop, ...onDevice });
  await device.page.getByLabel("Code of six digits").fill(code);
  await device.page.getByLabel("Name of this device").fill(name);
  await device.page.getByRole("button", { name: "Ask to be let in" }).click();
  const mark = await device.page.locator("#state strong").innerText();
  const asking = atComputer.locator("bole-devices .asking", { hasText: mark });
  await asking.getByText(`“${name}” at 127.0.0.1 wants to be let in`).waitFor();
  await asking.getByRole("button", { name: `Let “${name}” in` }).click();
  await device.page.getByRole("heading", { name: "Bole" }).waitFor();
  return device;
}

/** The fingerprint of the certificate that a device is shown by the network, not by any page. */
function shownByNetwork(): Promise<string> {
  const { hostname: host, port } = new URL(shop);
  return new Promise((resolve, reject) => {
    const socket = connect({ host, port: Number(port), rejectUnauthorized: false }, () => {
      resolve(new X509Certificate(socket.getPeerCertificate().raw).fingerprint256);
      socket.destroy();
    });
    socket.on("error", reject);
  });
}

/** A photograph: a grey card beside a part, drawn here. */
async function photograph(page: Page): Promise<Buffer> {
  const data = await page.evaluate(() => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [400, 300];
    const context = canvas.getContext("2d")!;
    context.fillStyle = "#767676";
    context.fillRect(0, 0, 400, 300);
    context.fillStyle = "#8a3324";
    context.fillRect(130, 0, 140, 300);
    return canvas.toDataURL("image/png");
  });
  return Buffer.from(data.slice(data.indexOf(",") + 1), "base64");
}

describe("the shop network", () => {
  test("lets a device in, edits go both ways, a photograph lands in the open cell, and Send away ends it", async () => {
    const atComputer = await computer();
    const { page } = atComputer;

    // The fingerprint on the computer is that of the network's certificate, and the terminal has it too.
    await page.getByText("Fingerprints, and the end of the warnings").click();
    const fingerprint = await shownByNetwork();
    expect(await page.locator("bole-devices .print").first().innerText()).toBe(fingerprint);
    expect(server.output()).toContain(fingerprint);
    expect(server.output()).toContain("this computer only, to try it out");
    expect(await readdir(folder)).not.toContain("config");

    const device = await pairedDevice(page, "Phone of Ada");
    expect(await device.page.locator('meta[name="bole-token"]').getAttribute("content")).not.toBe(
      await page.locator('meta[name="bole-token"]').getAttribute("content"),
    );

    await device.page
      .getByRole("button", { name: /^Small/ })
      .first()
      .click();
    await cellNamed(device.page, "Seat").waitFor();
    await setCount(page, "Seat", 4);
    await expect.poll(() => countShown(device.page, "Seat")).toBe("4");
    await setCount(device.page, "Bolster", 6);
    await allSaved(device.page);
    await expect.poll(() => countShown(page, "Bolster")).toBe("6");
    expect(await saved(folder, "small", "part-1")).toMatchObject({ count: 6 });

    await cellNamed(page, "Colour of the seat").getByRole("button", { name: "Choose a file" }).waitFor();
    await device.page.goto(shop);
    const choosing = device.page.waitForEvent("filechooser");
    await device.page.getByRole("button", { name: "Take a photograph for “Colour of the seat”" }).click();
    await (await choosing).setFiles({
      name: "seat.png",
      mimeType: "image/png",
      buffer: await photograph(device.page),
    });
    await device.page.getByText("The photograph is in “Colour of the seat” on the computer.").waitFor();
    await expect
      .poll(() => saved(folder, "small", "photo"))
      .toMatchObject({ picture: { name: "seat.png", width: 400, height: 300 } });
    const { circles } = (await saved(folder, "small", "photo")) as { circles: { sample: unknown }[] };
    expect(circles.length).toBeGreaterThan(1);
    for (const { sample } of circles) expect(sample).not.toBeNull();
    await cellNamed(page, "Colour of the seat").locator("bole-photo-circles").waitFor();
    for (const window of [atComputer, device]) expect(window.problems).toEqual([]);

    await device.page
      .getByRole("button", { name: /^Small/ })
      .first()
      .click();
    await cellNamed(device.page, "Seat").waitFor();
    await page.getByRole("button", { name: "Send Phone of Ada away" }).click();
    await page.getByText("No device yet.").waitFor();
    await setCount(device.page, "Seat", 9);
    await expect
      .poll(() => textOf(device.page.locator("bole-save-bar")))
      .toContain("This device is not let in");
    expect(await saved(folder, "small", "part-0")).toMatchObject({ count: 4 });
    await device.page.goto(shop);
    await device.page.getByRole("heading", { name: "Pair this device" }).waitFor();
  });

  test("lets a device in by the camera; the secret does not stay in the address", async () => {
    const { page } = await computer();
    await page.getByRole("button", { name: "Pair a device" }).click();
    await page.getByRole("img", { name: "Address for the camera" }).waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);
    const [link] = await page.evaluate(async () => {
      const { shop } = await (await fetch("/api/shop")).json();
      return shop.offer.links as string[];
    });
    const device = await openPage(new URL(link).hash, { address: shop, ...onDevice });
    await device.page.getByText("The code was read by the camera.").waitFor();
    expect(device.page.url()).toBe(`${shop}/`);
    expect(await accessibilityFaults(device.page)).toEqual([]);
    await device.page.getByRole("button", { name: "Ask to be let in" }).click();
    await page.getByRole("button", { name: /^Turn “Phone” away/ }).click();
    await device.page.getByText("The computer said no.").waitFor();
    expect(device.problems).toEqual([]);
  });

  test("warns a browser that knows neither the certificate nor its authority", async () => {
    await expect(openPage("/", { address: shop })).rejects.toThrow(/ERR_CERT_AUTHORITY_INVALID/);
  });

  test("gives the page of another site neither a notebook nor a change, with a paired device", async () => {
    const { page } = await computer();
    const device = await pairedDevice(page, "Tablet");
    const before = await readdir(folder);
    const site = createServer((_, response) => {
      response.setHeader("content-type", "text/html");
      response.end(`<!doctype html><body>
        <form id="plain" method="post" enctype="text/plain" action="${shop}/api/notebooks" target="hole">
          <input name='{"name":"evil","document":{"format":"bole-notebook","version":1,"title":"' value='","cells":[]}}'>
        </form>
        <form id="pairing" method="post" enctype="text/plain" action="${shop}/pair/ask" target="hole">
          <input name='{"code":"000000","name":"' value='"}'>
        </form>
        <iframe name="hole"></iframe><iframe id="framed" src="${shop}/"></iframe>`);
    });
    await new Promise<void>((resolve) => site.listen(0, "127.0.0.1", resolve));
    onTestFinished(() => void site.close());
    const other = await device.page.context().newPage();
    const answers: [string, number][] = [];
    other.on("response", (response) => {
      if (response.url().startsWith(shop))
        answers.push([new URL(response.url()).pathname, response.status()]);
    });
    await other.goto(`http://127.0.0.1:${(site.address() as AddressInfo).port}/`);
    const read = await other.evaluate(async (target) => {
      const ask = (path: string, init: RequestInit) =>
        fetch(`${target}${path}`, { credentials: "include", ...init }).then(
          (reply) => `${reply.type} ${reply.status}`,
          () => "failed",
        );
      const results = [
        await ask("/api/notebooks", {}),
        await ask("/api/session", { mode: "no-cors" }),
        await ask("/api/notebooks/small", { method: "DELETE" }),
        await ask("/pair/ask", { method: "POST", mode: "no-cors", body: "{}" }),
      ];
      for (const id of ["plain", "pairing"]) document.querySelector<HTMLFormElement>(`#${id}`)?.submit();
      return results;
    }, shop);
    for (const result of read) expect(["failed", "opaque 0"]).toContain(result);
    await expect.poll(() => answers.map(([path]) => path)).toEqual(expect.arrayContaining(["/pair/ask"]));
    for (const [path, status] of answers) expect([path, status >= 400]).toEqual([path, true]);
    expect(await readdir(folder)).toEqual(before);
    expect(await device.page.evaluate(async () => (await fetch("/api/notebooks")).status)).toBe(200);
  });
});
