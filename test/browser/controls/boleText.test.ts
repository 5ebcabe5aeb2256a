import { html } from "lit";
import { describe, expect, test } from "vitest";
import { userEvent } from "vitest/browser";
import type { BoleText } from "../../../src/controls/boleText.ts";
import { heard, inside, retype, show, textOf } from "./shown.ts";

describe("bole-text", () => {
  test("input while typing, change once at the end", async () => {
    const control = await show<BoleText>(html`<bole-text label="Customer" value=""></bole-text>`);
    const inputs = heard<{ value: string }>(control, "input");
    const changes = heard<{ value: string }>(control, "change");
    const box = inside<HTMLInputElement>(control, "#text");
    box.focus();
    await userEvent.keyboard("Lu");
    await userEvent.tab();
    expect(inputs).toEqual([{ value: "L" }, { value: "Lu" }]);
    expect(changes).toEqual([{ value: "Lu" }]);
  });

  test("too long a text stays in the box and is not handed on", async () => {
    const control = await show<BoleText>(
      html`<bole-text label="Title" value="seats" .maxLength=${8} multiline></bole-text>`,
    );
    const changes = heard(control, "change");
    const box = inside<HTMLTextAreaElement>(control, "textarea");
    await retype(box, "all the seats");
    expect(textOf(control, "#trouble")).toBe(
      "Check this: Title: 13 characters typed, at most 8 allowed. Take out 5.",
    );
    expect(box.value).toBe("all the seats");
    expect(control.value).toBe("seats");
    expect(changes).toEqual([]);
    await userEvent.click(inside(control, ".trouble button"));
    expect(box.value).toBe("seats");
  });

  test("needed text that is missing is named", async () => {
    const control = await show<BoleText>(html`<bole-text label="Title" value="seats" required></bole-text>`);
    await retype(inside(control, "#text"), "");
    expect(textOf(control, "#trouble")).toContain("Title is empty. Type at least one character.");
    expect(control.value).toBe("seats");
  });
});
