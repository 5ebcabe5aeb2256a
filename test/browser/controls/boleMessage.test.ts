import { html } from "lit";
import { describe, expect, test } from "vitest";
import { inside, show, textOf } from "./shown.ts";

describe("bole-message", () => {
  test.each([
    ["error", "alert", "Error in Coats. Too many."],
    ["blocked", "status", "Waiting in Coats. Too many."],
    ["note", "note", "Note in Coats. Too many."],
  ] as const)("%s: role and words", async (kind, role, words) => {
    const control = await show(
      html`<bole-message kind=${kind} field="Coats" text="Too many."><button>Set to 8</button></bole-message>`,
    );
    expect(inside(control, ".message").getAttribute("role")).toBe(role);
    expect(textOf(control, "p")).toBe(words);
  });
});
