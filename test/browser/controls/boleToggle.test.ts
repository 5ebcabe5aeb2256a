import { html } from "lit";
import { describe, expect, test } from "vitest";
import { userEvent } from "vitest/browser";
import type { BoleToggle } from "../../../src/controls/boleToggle.ts";
import { heard, inside, show, textOf } from "./shown.ts";

describe("bole-toggle", () => {
  test("switches by the space bar and says its state in a word", async () => {
    const control = await show<BoleToggle>(html`<bole-toggle label="Specular included"></bole-toggle>`);
    const changes = heard(control, "change");
    expect(textOf(control, ".state")).toBe("off");
    inside<HTMLInputElement>(control, "input").focus();
    await userEvent.keyboard(" ");
    expect(changes).toEqual([{ value: true }]);
    expect(textOf(control, ".state")).toBe("on");
  });
});
