import { html, nothing } from "lit";
import { property } from "lit/decorators.js";
import { Control } from "./control.ts";
import { NumberEntry } from "./numberEntry.ts";
import { withUnit } from "./numberText.ts";

/** A control for one number with its unit, which can be typed. */
export abstract class NumberControl extends Control {
  @property() unit = "";
  @property({ type: Number }) value = 0;
  @property({ type: Number }) min = Number.NEGATIVE_INFINITY;
  @property({ type: Number }) max = Number.POSITIVE_INFINITY;
  @property({ type: Number }) step = 1;
  /** decimals shown; 0 asks for whole numbers; left out, they follow the step */
  @property({ type: Number }) digits?: number;

  protected readonly entry = new NumberEntry(this, (value) => {
    this.value = value;
    this.taken(value);
  });

  /** An allowed number was typed or stepped to. */
  protected abstract taken(value: number): void;

  /** @param name accessible name of the box, where no label element points at it */
  protected box(name?: string) {
    return html`<div class="box" @click=${() => this.renderRoot.querySelector<HTMLElement>("#box")?.focus()}>
      ${this.entry.box(name)} ${this.unit ? html`<span class="unit">${this.unit}</span>` : nothing}
    </div>`;
  }

  /** The line of explanation, and what is wrong with the way back. */
  protected lines() {
    return html`${this.hintLine()} ${this.troubleLines()}`;
  }

  /** What is wrong with the way back. */
  protected troubleLines() {
    const { trouble, isRefused } = this.entry;
    const back =
      isRefused && Number.isFinite(this.value)
        ? html`<button type="button" @click=${() => this.entry.revert()}>Back to ${withUnit(this.value, this)}</button>`
        : nothing;
    return this.troubleLine(trouble, back);
  }
}
