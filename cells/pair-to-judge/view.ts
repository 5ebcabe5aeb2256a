import { css, html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { LabToXYZ } from "../../src/colour/Lab.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { differenceText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { wordKeyStyles, wordKeys } from "../../src/controls/wordKeys.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { type Step, sizeWords, stepOf, stepText } from "../../src/judgement/stepWords.ts";
import { plural } from "../../src/words/plural.ts";
import { type PairToJudge, pairToJudge, type Said } from "./define.ts";

const tag = "bole-view-pair-to-judge";
export default tag;

const nothingSaid: [Said, Said, Said] = [null, null, null];

@customElement(tag)
export class PairToJudgeView extends CellView<PairToJudge, ParameterValues<typeof pairToJudge.parameters>> {
  protected override render() {
    const { value } = this;
    if (!value || this.outcome.status !== "ok") return nothing;
    const { coverage, words, components, choices } = value;
    const { said, paste, pair } = this.parameters;
    const seen = (Lab: Float64Array) => LabToXYZ(Lab, coverage.viewing.weights.white, new Float64Array(3));
    const judged = said.every((word) => word !== null);
    return html`
      <p>
        Left the reference, right the panel, which had drops of one paste more. <strong>Trust the direction, not the size</strong>: a
        screen is brighter or darker than paint, and no two are alike.
      </p>
      <div class="pair">
        ${panel({ label: `Pair ${pair}`, sampleLabel: "panel", targetLabel: "reference" }, seen(value.panel), coverage.viewing, seen(value.reference))}
      </div>
      <h3>The panel is, beside the reference …</h3>
      ${wordKeys<Said>({
        of: `the panel of pair ${pair} beside the reference`,
        axes: words,
        sizes: sizeWords,
        pressed: said,
        press: (axis, step) => this.set({ said: said.with(axis, step) as typeof said }),
      })}
      <h3>And what was dropped in?</h3>
      <div class="choices" role="group" aria-label="Paste that was dropped in">
        ${choices.map(
          (j) => html`<button
            aria-pressed=${String(paste === components[j].id)}
            @click=${() => this.set({ paste: components[j].id })}
          >
            ${components[j].name}
          </button>`,
        )}
      </div>
      ${judged && paste !== "" ? this.#answer(value) : html`<p class="soft">Press a word on each line and a paste; then it is shown.</p>`}
      <details>
        <summary>Settings</summary>
        <div class="fields">
          ${parameterField(this, pairToJudge.parameters, "pair")} ${parameterField(this, pairToJudge.parameters, "pot")}
        </div>
      </details>
    `;
  }

  #answer({ difference, words, components, paste, drops, pot, deltaE }: PairToJudge) {
    const { said, paste: guessed, pair } = this.parameters;
    const right = components[paste];
    return html`
      <p class="verdict" role="status">
        ${guessed === right.id ? html`<strong>Right:</strong>` : html`<strong>No, it was this:</strong>`} ${plural(drops, "drop")}
        of ${right.name} in ${this.inUnits(`${pot} mL`)}, a move of ΔE00 ${differenceText(deltaE)}.
      </p>
      <table>
        <thead>
          <tr><th scope="col">Beside the reference</th><th scope="col">You said</th><th scope="col">Computed</th><th scope="col">Direction</th></tr>
        </thead>
        <tbody>
          ${words.map((word, axis) => {
            const computed = stepOf(difference[axis]);
            const step = said[axis];
            return html`<tr>
              <th scope="row">${word.name}</th>
              <td>${stepText(step === "cannot judge" ? null : (step as Step), word)}</td>
              <td>${stepText(computed, word)}</td>
              <td>${directionText(step, computed)}</td>
            </tr>`;
          })}
        </tbody>
      </table>
      <button class="next" @click=${() => this.set({ pair: pair + 1, said: nothingSaid, paste: "" })}>Next pair</button>
    `;
  }

  static override styles = [
    ...viewStyles,
    wordKeyStyles,
    css`
      .pair {
        max-width: 460px;
      }
      .choices {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
      }
      .choices button,
      .next {
        min-block-size: 60px;
      }
      .choices button[aria-pressed="true"] {
        background: var(--bole-ink);
        color: var(--bole-paper);
      }
      .next {
        margin-block: 12px;
      }
    `,
  ];
}

/** Whether a word points the way the difference goes; steps of one size more or less are as good on a screen. */
function directionText(said: Said, computed: number): string {
  if (said === null || said === "cannot judge") return "not judged";
  if (Math.sign(said) === Math.sign(computed)) return "right";
  return Math.abs(said - computed) <= 1 ? "near" : "the other way";
}
