import axe from "axe-core";
import { html } from "lit";
import { describe, expect, test } from "vitest";
import { cdp, page, userEvent } from "vitest/browser";
import "../../../src/controls/boleFile.ts";
import { tokens } from "../../../src/controls/tokens.ts";
import { inside, place, show } from "./shown.ts";

const everything = html`
  <style>
    ${tokens.cssText} body {
      margin: 0;
      background: var(--bole-paper);
      color: var(--bole-ink);
    }
  </style>
  <h1>Controls</h1>
  <bole-number label="Light coat" unit="µm" hint="Common practice" .value=${15} .min=${5} .max=${60}></bole-number>
  <bole-number label="Heavy coat" unit="µm" .value=${99} .min=${5} .max=${60}></bole-number>
  <bole-slider label="Warm cream" unit="%" .value=${62} .min=${0} .max=${100}></bole-slider>
  <bole-choice label="Light" .options=${[{ value: "A", label: "A" }]} value="B"></bole-choice>
  <bole-toggle label="Specular included" hint="As most instruments do"></bole-toggle>
  <bole-toggle label="Opaque limit" value></bole-toggle>
  <bole-text label="Customer" value="Lantern Room"></bole-text>
  <bole-text label="Note" value="" multiline></bole-text>
  <bole-file label="Target" accept=".csv"></bole-file>
  <bole-swatch colour="#8d1526" target="#c8102e" label="Bolsters" sub-label="darker" badge="beyond this screen"></bole-swatch>
  <bole-message kind="error" field="Coats" text="Too many."><button>Set to 8</button></bole-message>
  <bole-message kind="blocked" text="Waits for the target."><a href="#target">Go to the target</a></bole-message>
`;

describe("all controls together", () => {
  /** Every focusable thing inside the controls, through their shadow trees. */
  function targets(): HTMLElement[] {
    const found: HTMLElement[] = [];
    for (const control of place.querySelectorAll("*")) {
      const selector = "button, a, select, textarea, input:not([hidden])";
      if (control.matches(selector)) found.push(control as HTMLElement);
      if (control.shadowRoot) found.push(...control.shadowRoot.querySelectorAll<HTMLElement>(selector));
    }
    return found;
  }

  async function theme(scheme: "light" | "dark" | undefined): Promise<void> {
    const features = scheme ? [{ name: "prefers-color-scheme", value: scheme }] : [];
    await (cdp() as unknown as { send(method: string, values: object): Promise<unknown> }).send(
      "Emulation.setEmulatedMedia",
      { features },
    );
  }

  test.each(["light", "dark"] as const)("no accessibility violations, %s", async (scheme) => {
    await theme(scheme);
    try {
      await show(everything);
      expect(matchMedia("(prefers-color-scheme: dark)").matches).toBe(scheme === "dark");
      const { violations } = await axe.run(place);
      const words = violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(" | ")}`);
      expect(words).toEqual([]);
    } finally {
      await theme(undefined);
    }
  });

  test("the surround of colour panels is the same grey in both themes, the paper is not", async () => {
    const seen: Record<string, string[]> = {};
    for (const scheme of ["light", "dark"] as const) {
      await theme(scheme);
      await show(everything);
      const swatch = place.querySelector("bole-swatch")!;
      seen[scheme] = [
        getComputedStyle(inside(swatch, ".surround")).backgroundColor,
        getComputedStyle(document.body).backgroundColor,
      ];
    }
    await theme(undefined);
    expect(seen.light[0]).toBe(seen.dark[0]);
    expect(seen.light[1]).not.toBe(seen.dark[1]);
  });

  test.each([390, 820, 1280])(
    "targets are at least 44 px and nothing is wider than the page at %d px",
    async (width) => {
      await page.viewport(width, 900);
      await show(everything);
      for (const target of targets()) {
        // A switch is pressed anywhere on its label.
        const box = (target.closest("label") ?? target.closest(".box") ?? target).getBoundingClientRect();
        expect(box.height, target.outerHTML).toBeGreaterThanOrEqual(44);
        expect(box.width, target.outerHTML).toBeGreaterThanOrEqual(44);
      }
      expect(document.documentElement.scrollWidth).toBeLessThanOrEqual(width);
    },
  );

  test("each focus shows a ring", async () => {
    await show(everything);
    inside<HTMLInputElement>(place.querySelector("bole-number")!, "#box").focus();
    let rings = 0;
    for (let i = 0; i < 13; i++) {
      let focused: Element | null = document.activeElement;
      while (focused?.shadowRoot?.activeElement) focused = focused.shadowRoot.activeElement;
      if (!focused || focused === document.body) break;
      const ringed = focused.closest(".box") ?? focused;
      const shown = [focused, ringed].some(
        (element) => Number.parseFloat(getComputedStyle(element).outlineWidth) >= 3,
      );
      expect(shown, focused.outerHTML).toBe(true);
      rings++;
      await userEvent.tab();
    }
    expect(rings).toBeGreaterThanOrEqual(10);
  });

  test("text is at least 16 px", async () => {
    await show(everything);
    for (const control of place.querySelectorAll("*")) {
      for (const element of control.shadowRoot?.querySelectorAll("*") ?? []) {
        if (!element.textContent?.trim() || ["STYLE", "OPTION"].includes(element.tagName)) continue;
        expect(
          Number.parseFloat(getComputedStyle(element).fontSize),
          element.outerHTML,
        ).toBeGreaterThanOrEqual(16);
      }
    }
  });
});
