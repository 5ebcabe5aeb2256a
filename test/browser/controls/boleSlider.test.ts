import { html } from "lit";
import { describe, expect, test } from "vitest";
import { userEvent } from "vitest/browser";
import type { BoleSlider } from "../../../src/controls/boleSlider.ts";
import { heard, inside, retype, show, textOf } from "./shown.ts";

describe("bole-slider", () => {
  const slider = (value: number) =>
    html`<bole-slider label="Warm cream" unit="%" .value=${value} .min=${0} .max=${100}></bole-slider>`;

  test("moves by the keyboard: input while moving, change at the end", async () => {
    const control = await show<BoleSlider>(slider(50));
    const inputs = heard<{ value: number }>(control, "input");
    const changes = heard<{ value: number }>(control, "change");
    inside<HTMLInputElement>(control, "#range").focus();
    await userEvent.keyboard("{ArrowRight}");
    await userEvent.keyboard("{Home}");
    await userEvent.keyboard("{End}");
    await userEvent.keyboard("{PageDown}");
    expect(inputs.map((detail) => detail.value)).toEqual([51, 0, 100, 90]);
    expect(changes.map((detail) => detail.value)).toEqual([51, 0, 100, 90]);
    expect(inside<HTMLInputElement>(control, "#box").value).toBe("90");
  });

  test("no native input event gets out beside the control's own", async () => {
    const control = await show<BoleSlider>(slider(50));
    const inputs = heard<unknown>(control, "input");
    await userEvent.fill(inside<HTMLInputElement>(control, "#box"), "7");
    expect(inputs).toEqual([]);
    await userEvent.tab();
    expect(inputs).toEqual([{ value: 7 }]);
  });

  test("a typed value moves the slider; a refused one does not", async () => {
    const control = await show<BoleSlider>(slider(50));
    const range = inside<HTMLInputElement>(control, "#range");
    const box = inside<HTMLInputElement>(control, "#box");
    await retype(box, "62");
    expect(range.value).toBe("62");
    await retype(box, "620");
    expect(range.value).toBe("62");
    expect(box.value).toBe("620");
    expect(textOf(control, "#trouble")).toContain("from 0 to 100 %");
    await userEvent.fill(range, "40");
    expect(box.value).toBe("40");
    expect(inside(control, "#trouble")).toBeNull();
  });

  test("says its value with the unit", async () => {
    const control = await show<BoleSlider>(slider(62));
    expect(inside(control, "#range").getAttribute("aria-valuetext")).toBe("62 %");
  });
});
