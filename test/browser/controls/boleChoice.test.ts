import { html, render } from "lit";
import { describe, expect, test } from "vitest";
import { userEvent } from "vitest/browser";
import type { BoleChoice } from "../../../src/controls/boleChoice.ts";
import { heard, inside, place, show, textOf } from "./shown.ts";

describe("bole-choice", () => {
  const options = [
    { value: "D65", label: "D65 daylight" },
    { value: "A", label: "A incandescent" },
  ];

  test("hands the choice on", async () => {
    const control = await show<BoleChoice>(
      html`<bole-choice label="Main light" .options=${options} value="D65"></bole-choice>`,
    );
    const changes = heard(control, "change");
    const inputs = heard(control, "input");
    await userEvent.selectOptions(inside(control, "select"), "A");
    expect(changes).toEqual([{ value: "A" }]);
    expect(inputs).toEqual([]);
  });

  test("a value that is not on offer is shown as such", async () => {
    const control = await show<BoleChoice>(
      html`<bole-choice label="Main light" .options=${options} value="FL99"></bole-choice>`,
    );
    expect(textOf(control, "#trouble")).toBe(
      "Check this: Main light: “FL99” is not available. Choose one of: D65 daylight, A incandescent.",
    );
    expect(inside<HTMLSelectElement>(control, "select").value).toBe("FL99");
    expect(control.value).toBe("FL99");
  });

  test("follows options that arrive later", async () => {
    const template = (list: typeof options) =>
      html`<bole-choice label="Main light" .options=${list} value="A"></bole-choice>`;
    const control = await show<BoleChoice>(template([]));
    render(template(options), place);
    await control.updateComplete;
    expect(inside<HTMLSelectElement>(control, "select").value).toBe("A");
    expect(inside(control, "#trouble")).toBeNull();
  });
});
