import { html } from "lit";
import { describe, expect, test } from "vitest";
import { inside, show, textOf } from "./shown.ts";

describe("bole-swatch", () => {
  const colourOf = (element: Element) => getComputedStyle(element).backgroundColor;

  test("a pair touches edge to edge and both halves lie on the neutral grey", async () => {
    const control = await show(
      html`<bole-swatch colour="rgb(140, 20, 40)" target="rgb(200, 16, 46)" label="Bolsters"></bole-swatch>`,
    );
    const [target, sample] = control.shadowRoot!.querySelectorAll(".half");
    expect([colourOf(target), colourOf(sample)]).toEqual(["rgb(200, 16, 46)", "rgb(140, 20, 40)"]);
    expect(target.getBoundingClientRect().right).toBe(sample.getBoundingClientRect().left);
    expect(colourOf(inside(control, ".surround"))).toBe("rgb(119, 119, 119)");
  });

  test("words under the panel, and the badge when there is one", async () => {
    const control = await show(
      html`<bole-swatch colour="red" label="Seats" sub-label="no visible difference" badge="beyond this screen"></bole-swatch>`,
    );
    expect(textOf(control, "figcaption")).toBe("Seats no visible difference beyond this screen");
  });

  test("a colour that cannot be read is said to be missing", async () => {
    const control = await show(html`<bole-swatch colour="rgb(nothing)" label="Plinth"></bole-swatch>`);
    expect(textOf(control, ".half")).toBe("no colour");
  });
});
