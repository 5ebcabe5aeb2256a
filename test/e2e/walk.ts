import type { Locator, Page } from "playwright-core";
import { expect } from "vitest";
import { cellNamed } from "./demo.ts";

/** Goes on by the guide of a whole job until a cell is reached: what was not reached yet is one line. */
export async function reach(page: Page, title: string, press = (what: Locator) => what.click()) {
  const fold = cellNamed(page, title).getByRole("button", { name: /^(Unfold|Fold) / });
  const guide = page.getByRole("region", { name: "Next step" });
  const here = () => guide.locator("p strong").first().innerText();
  while ((await fold.first().getAttribute("aria-expanded")) === "false") {
    const before = await here();
    await press(guide.getByRole("button", { name: /^Next: / }));
    await expect.poll(here).not.toBe(before);
  }
}
