import { html, render } from "lit";
import { describe, expect, onTestFinished, test, vi } from "vitest";
import { userEvent } from "vitest/browser";
import type { BoleNumber } from "../../../src/controls/boleNumber.ts";
import { heard, inside, place, retype, show, textOf } from "./shown.ts";

describe("bole-number", () => {
  const number = (value: number) =>
    html`<bole-number label="Light coat" unit="µm" .value=${value} .min=${5} .max=${60}></bole-number>`;

  test("hands a typed number on when typing is over", async () => {
    const control = await show<BoleNumber>(number(15));
    const changes = heard(control, "change");
    await retype(inside(control, "#box"), "22.5");
    expect(changes).toEqual([{ value: 22.5 }]);
    expect(control.value).toBe(22.5);
  });

  test.each([
    ["7,5", 7.5],
    [" 12 µm", 12],
    ["1e1", 10],
  ])("understands %s", async (text, value) => {
    const control = await show<BoleNumber>(number(15));
    await retype(inside(control, "#box"), text);
    expect(control.value).toBe(value);
  });

  test.each([
    ["fifteen", "Light coat: “fifteen” is not a number. Type a number from 5 to 60 µm."],
    ["", "Light coat is empty. Type a number from 5 to 60 µm."],
    ["80", "Light coat: 80 µm is outside what is allowed. Type a number from 5 to 60 µm."],
    ["-3", "Light coat: -3 µm is outside what is allowed. Type a number from 5 to 60 µm."],
    [
      "1,500",
      "Light coat: “1,500” can be read in two ways. Type it without the comma, a number from 5 to 60 µm.",
    ],
  ])("refuses “%s” in words, keeps it in the box and hands nothing on", async (text, words) => {
    const control = await show<BoleNumber>(number(15));
    const changes = heard(control, "change");
    const box = inside<HTMLInputElement>(control, "#box");
    await retype(box, text);
    expect(textOf(control, "#trouble")).toBe(`Check this: ${words}`);
    expect(box.value).toBe(text);
    expect(box.getAttribute("aria-invalid")).toBe("true");
    expect(box.getAttribute("aria-describedby")).toBe("trouble");
    expect(changes).toEqual([]);
    expect(control.value).toBe(15);
  });

  test("refused text survives another rendering with the same value and goes with a new one", async () => {
    const control = await show<BoleNumber>(number(15));
    const box = inside<HTMLInputElement>(control, "#box");
    await retype(box, "many");
    render(number(15), place);
    await control.updateComplete;
    expect(box.value).toBe("many");
    render(number(20), place);
    await control.updateComplete;
    expect(box.value).toBe("20");
    expect(inside(control, "#trouble")).toBeNull();
  });

  test("three ways out of a refusal: the button, Escape, and mending the text", async () => {
    const control = await show<BoleNumber>(number(15));
    const box = inside<HTMLInputElement>(control, "#box");
    await retype(box, "x");
    expect(textOf(control, ".trouble button")).toBe("Back to 15 µm");
    await userEvent.click(inside(control, ".trouble button"));
    expect(box.value).toBe("15");
    await retype(box, "x");
    box.focus();
    await userEvent.keyboard("{Escape}");
    expect(box.value).toBe("15");
    await retype(box, "x");
    await userEvent.fill(box, "16");
    expect(inside(control, "#trouble")).toBeNull();
    expect(control.value).toBe(15); // not before typing is over
    await userEvent.tab();
    expect(control.value).toBe(16);
  });

  test("buttons and arrow keys step and stop at the limits", async () => {
    const control = await show<BoleNumber>(number(6));
    const changes = heard(control, "change");
    const [less, more] = control.shadowRoot!.querySelectorAll<HTMLButtonElement>(".step");
    expect([less.ariaLabel, more.ariaLabel]).toEqual(["Light coat: less", "Light coat: more"]);
    await userEvent.click(less);
    less.click(); // at the limit by now
    expect(control.value).toBe(5);
    expect(less.getAttribute("aria-disabled")).toBe("true");
    await userEvent.click(more);
    inside<HTMLInputElement>(control, "#box").focus();
    await userEvent.keyboard("{ArrowUp}{PageUp}{ArrowDown}");
    expect(changes).toEqual([5, 6, 7, 17, 16].map((value) => ({ value })));
  });

  test("a held button repeats until it is let go", async () => {
    const control = await show<BoleNumber>(number(10));
    const more = control.shadowRoot!.querySelectorAll(".step")[1];
    vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
    onTestFinished(() => void vi.useRealTimers());
    more.dispatchEvent(new PointerEvent("pointerdown", { bubbles: true }));
    vi.advanceTimersByTime(1000);
    const held = control.value!;
    expect(held).toBeGreaterThan(11);
    more.dispatchEvent(new PointerEvent("pointerup", { bubbles: true }));
    more.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    vi.advanceTimersByTime(10_000);
    expect(control.value).toBe(held);
  });

  test("steps of 0.1 do not gather rounding dust", async () => {
    const control = await show<BoleNumber>(
      html`<bole-number label="Dose" unit="g" .value=${0.1} .min=${0} .max=${9} .step=${0.1}></bole-number>`,
    );
    inside<HTMLInputElement>(control, "#box").focus();
    await userEvent.keyboard("{ArrowUp}{ArrowUp}");
    expect(control.value).toBe(0.3);
    expect(inside<HTMLInputElement>(control, "#box").value).toBe("0.3");
  });

  test("whole numbers where parts make no sense", async () => {
    const control = await show<BoleNumber>(
      html`<bole-number label="Heavy coats" .value=${3} .min=${0} .max=${8} .digits=${0}></bole-number>`,
    );
    await retype(inside(control, "#box"), "2.5");
    expect(textOf(control, "#trouble")).toContain(
      "Heavy coats: 2.5 is not a whole number. Type a whole number from 0 to 8.",
    );
    expect(control.value).toBe(3);
  });

  test("a value set from outside its range is shown and named, not clamped", async () => {
    const control = await show<BoleNumber>(number(99));
    expect(inside<HTMLInputElement>(control, "#box").value).toBe("99");
    expect(textOf(control, "#trouble")).toContain("99 µm is outside what is allowed");
    expect(control.value).toBe(99);
  });

  test.each([190, 250, 320])("at %i px neither the number nor its unit is cut", async (width) => {
    const units = ["% of the wet basecoat", "mL per 100 mL", "min/m²", "µm"];
    const around = await show<HTMLDivElement>(
      html`<div .style=${`inline-size: ${width}px`}>
        ${units.map((unit) => html`<bole-number label="A" .unit=${unit} .value=${-12_345.67} .step=${0.01}></bole-number>`)}
        ${units.map((unit) => html`<bole-slider label="B" .unit=${unit} .value=${12_345.6} .max=${20_000} .step=${0.1}></bole-slider>`)}
      </div>`,
    );
    for (const control of around.querySelectorAll<BoleNumber>("bole-number, bole-slider")) {
      await control.updateComplete;
      const box = inside(control, "#box");
      const unit = inside(control, ".unit");
      expect(box.scrollWidth, control.unit).toBeLessThanOrEqual(box.clientWidth);
      expect(unit.scrollWidth, control.unit).toBeLessThanOrEqual(unit.clientWidth + 1);
      expect(unit.getBoundingClientRect().left).toBeGreaterThanOrEqual(box.getBoundingClientRect().right - 1);
      expect(unit.getBoundingClientRect().right).toBeLessThanOrEqual(
        inside(control, ".box").getBoundingClientRect().right,
      );
    }
  });
});
