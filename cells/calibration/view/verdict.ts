import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import type { Finding } from "../../../src/calibration/finding.ts";
import { emit } from "../../../src/controls/emit.ts";
import { verdictWords } from "../../../src/controls/verdictWords.ts";
import { viewStyles } from "../../../src/controls/viewStyles.ts";
import type { Contradicting } from "../../../src/drawdowns/calibrateTable.ts";
import type { Verdict } from "../../../src/graph/verdict.ts";
import { componentToSave } from "../../../src/ports/pigmentSet.ts";
import { standingOf } from "../../../src/ports/standing.ts";
import type { Calibration } from "../define.ts";

/** Findings that speak of a drawdown which the calibration may do better without. */
const faulty: ReadonlySet<Finding["code"]> = new Set([
  "white-below-black",
  "not-one-film",
  "duplicate-reading",
  "impossible-values",
  "thickness-disagrees",
]);

/**
 * Whether the data suffice, what contradicts, what to be careful about, and the button that takes the paste into use.
 * Events: `bole-add` (Component), `bole-use` ({label, use, always}), `bole-change` (label of a drawdown).
 */
@customElement("bole-calibration-verdict")
export class CalibrationVerdict extends LitElement {
  @property({ attribute: false }) value!: Calibration;
  @property({ attribute: false }) verdict: Verdict | undefined;
  /** labels of the drawdowns in the table */
  @property({ attribute: false }) labels: readonly string[] = [];

  protected override render() {
    const { value } = this;
    const told = value.findings.filter(({ code }) => code !== "outlier" && code !== "thin-strong-film");
    // That a coarse result is coarse stands in the verdict itself.
    const isNote = ({ severity, code }: Finding) => severity === "note" || code === "quality";
    const pressing = told.filter((finding) => !isNote(finding));
    const notes = told.filter(isNote);
    const applies = value.findings.find(({ code }) => code === "thin-strong-film");
    return html`
      <p class="verdict">${this.verdict && verdictWords(this.verdict)}</p>
      ${pressing.length > 0 ? html`<ul class="findings">${pressing.map((finding) => this.#finding(finding))}</ul>` : nothing}
      ${value.contradicting.map((one) => this.#contradicting(one))}
      ${this.#action(value)}
      ${applies ? html`<p class="applies"><strong>Where the film theory is doubtful:</strong> ${applies.text}</p>` : nothing}
      ${
        notes.length > 0
          ? html`<details>
              <summary>Good to know (${notes.length})</summary>
              <ul class="findings">${notes.map((finding) => html`<li>${finding.text}</li>`)}</ul>
            </details>`
          : nothing
      }
    `;
  }

  #finding({ severity, code, text, drawdowns }: Finding) {
    const own = drawdowns.filter((label) => this.labels.includes(label));
    return html`<li class=${severity}>
      <strong>${severity === "refused" ? "Refused" : "Caution"}:</strong> ${text}
      ${
        own.length > 0 && own.length <= 3
          ? html`<div class="ways">
              ${own.map(
                (
                  label,
                ) => html`<button @click=${() => emit(this, "bole-change", label)}>Change ${label}</button>
                  ${faulty.has(code) ? html`<button @click=${() => emit(this, "bole-use", { label, use: false, always: undefined })}>Leave ${label} out</button>` : nothing}`,
              )}
            </div>`
          : nothing
      }
    </li>`;
  }

  #contradicting({ label, cause, text, used }: Contradicting) {
    return html`<div class="contradicts" role="note">
      <p>
        <strong>${label} contradicts the other drawdowns</strong> and is ${used ? "used all the same" : "set aside"}.
        Likely cause: <strong>${cause}</strong>; ${text}.
      </p>
      <div class="ways">
        <button @click=${() => emit(this, "bole-use", { label, use: false, always: undefined })}>Leave it out</button>
        ${
          used
            ? html`<button @click=${() => emit(this, "bole-use", { label, use: true, always: undefined })}>Set it aside again</button>`
            : html`<button @click=${() => emit(this, "bole-use", { label, use: true, always: true })}>Take it back</button>`
        }
        <button @click=${() => emit(this, "bole-change", label)}>Change it</button>
      </div>
    </div>`;
  }

  #action({ component, withoutComponent, pigments, from, status }: Calibration) {
    if (status === "refused") return html`<p>No component comes of it until that is mended.</p>`;
    if (!component) return html`<p>No component comes of it yet: ${withoutComponent}.</p>`;
    const standing = standingOf(componentToSave(component), pigments);
    const { name } = component;
    const coarse = from === "colours" ? " (coarse)" : "";
    if (standing === "up to date")
      return html`<p class="in" role="status"><strong>✓ “${name}” is in ${pigments.name}</strong>${coarse}, as calibrated here.</p>`;
    const taken = pigments.components.find(({ id }) => id === component.id)?.name;
    const words = {
      "not in it": `Add “${name}” to ${pigments.name}`,
      renewable: `Renew “${name}” in ${pigments.name}`,
      "takes the place of another": `Put “${name}” in the place of “${taken}” in ${pigments.name}`,
    }[standing];
    return html`<button class="add" @click=${() => emit(this, "bole-add", component)}>${words}</button>
      ${standing === "renewable" ? html`<p class="soft">The one in there was calibrated from other drawdowns or settings.</p>` : nothing}`;
  }

  static override styles = [
    ...viewStyles,
    css`
      .findings {
        padding-left: 1.2rem;
        max-width: 80ch;
      }
      .findings li {
        margin-block: 6px;
      }
      .contradicts {
        border: 2px solid var(--bole-line);
        border-inline-start-width: 8px;
        border-radius: var(--bole-radius);
        padding: 10px 14px;
        margin-block: 12px;
        max-width: 80ch;
      }
      .contradicts p {
        margin: 0 0 10px;
      }
      .ways {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
        margin-block-start: 6px;
      }
      .add {
        font-size: 1.1rem;
        border-width: 2.5px;
        padding-block: 8px;
        margin-block: 8px;
        text-align: start;
      }
    `,
  ];
}
