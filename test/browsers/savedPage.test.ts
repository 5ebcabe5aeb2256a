import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { example, ownFolder, savePage } from "../e2e/savedPage.ts";
import { few } from "../howMuch.ts";
import { DrivenPage } from "./drivenPage.ts";
import type { Driver } from "./driver.ts";
import { firefox, startFirefox } from "./firefox.ts";
import { startWebKit, webKit } from "./webKit.ts";

const engines = [
  ["Firefox", firefox, startFirefox],
  ["WebKit", webKit, startWebKit],
] as const;

describe.each(engines)("saved pages, from the disk, in %s", (_, installed, start) => {
  const there = installed && !few;

  let driver: Driver;
  let page: DrivenPage;
  let kept: Awaited<ReturnType<typeof ownFolder>>;

  beforeAll(async () => {
    if (!there) return;
    kept = await ownFolder();
    driver = await start();
    await driver.resize(1280, 900);
    page = new DrivenPage(driver, "file:///");
  });
  afterAll(async () => {
    await driver?.quit();
    await kept?.remove();
  });

  /** Opens the page that an example is saved as, without any server. */
  const open = async (name: string) =>
    page.open(pathToFileURL(await savePage(kept.folder, example(name))).href);

  const saved = (title: string, go: () => Promise<void>) =>
    test.skipIf(!there)(title, async () => {
      await go();
      expect(await page.problems()).toEqual([]);
      const asked = await page.run(() =>
        performance
          .getEntriesByType("resource")
          .map(({ name }) => name)
          .filter((name) => !/^(data|blob):/.test(name)),
      );
      expect(asked, "whatever was asked for").toEqual([]);
    });

  const panels = () =>
    page.run(() => {
      const found: string[] = [];
      const look = (root: ParentNode) => {
        for (const element of root.querySelectorAll("*")) {
          if (element.matches("bole-panels .figure, .figure")) found.push(element.textContent ?? "");
          if (element.shadowRoot) look(element.shadowRoot);
        }
      };
      look(document);
      return found.join(" ");
    });

  saved("the demo answers its slider in the panels", async () => {
    await open("the-lantern-room");
    const slider = await page.find(
      "slider",
      /^Share of the second paint/,
      await page.find("cell", "Ground under the red"),
    );
    const before = await page.until(
      async () => /\d/.test(await panels()) && panels(),
      "differences under the panels",
    );
    await page.drag(slider, [0.2, 0.3, 0.45, 0.6]);
    await page.until(async () => (await panels()) !== before, "other differences");
  });

  saved("a lesson asks and reveals", async () => {
    await open("lesson-1-why-red-disappears");
    const asked = await page.find("cell", "Red light, no basecoat");
    await page.press("choice", "Most of it", asked);
    await page.press("button", "Show the answer", asked);
    await page.says(/Not so.*It is: Less than a third.*You said: Most of it/, asked);
  });

  saved("a job tells litres, price and sheet", async () => {
    await open("from-colour-to-job");
    await page.says(/Mix [\d.]+ (mL|L) of /);
    await page.says(/with tax/);
  });
});
