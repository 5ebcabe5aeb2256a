import { html, render, type TemplateResult } from "lit";
import { afterEach, beforeEach } from "vitest";
import { userEvent } from "vitest/browser";
import "../../../src/controls/index.ts";

/** Where a control is shown; made anew for each test. */
export let place: HTMLElement;

beforeEach(() => {
  place = document.body.appendChild(document.createElement("main"));
});

afterEach(() => {
  render(html``, place);
  place.remove();
});

/** Renders one control and waits until it stands. */
export async function show<Control extends Element>(template: TemplateResult): Promise<Control> {
  render(template, place);
  const control = place.firstElementChild as Control & { updateComplete: Promise<boolean> };
  await control.updateComplete;
  return control;
}

/** What a selector finds inside a control. */
export const inside = <Found extends Element>(control: Element, selector: string) =>
  control.shadowRoot!.querySelector<Found>(selector)!;
export const textOf = (control: Element, selector: string) =>
  (inside(control, selector)?.textContent ?? "").replace(/\s+/g, " ").trim();

/** All details of an event's dispatches on an element. */
export function heard<Detail>(element: Element, type: string): Detail[] {
  const details: Detail[] = [];
  element.addEventListener(type, (event) => details.push((event as CustomEvent<Detail>).detail));
  return details;
}

/** Type a text in place of the one that is there, and leave the box. */
export async function retype(box: HTMLInputElement | HTMLTextAreaElement, text: string): Promise<void> {
  await userEvent.fill(box, text);
  await userEvent.tab();
}
