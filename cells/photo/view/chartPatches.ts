import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { emit } from "../../../src/controls/emit.ts";
import { UntilEdited } from "../../../src/controls/untilEdited.ts";
import { viewStyles } from "../../../src/controls/viewStyles.ts";
import { readLabText } from "../../../src/exchange/readLab.ts";
import { chartCircles, linedUp, usualColumns } from "../../../src/photo/arrange.ts";
import type { KeptCircle } from "../../../src/photo/keptPhoto.ts";

const mostCircles = 200;

/**
 * A chart of several known colours: their Lab pasted at once, and circles for them that line up between the four at the
 * corners.
 *
 * @fires circles - CustomEvent<{circles: KeptCircle[]}> all circles, the new ones not sampled yet
 */
@customElement("bole-chart-patches")
export class ChartPatches extends LitElement {
  @property({ attribute: false }) circles: readonly KeptCircle[] = [];
  @property({ attribute: false }) size: { readonly width: number; readonly height: number } = {
    width: 1,
    height: 1,
  };
  @state() private pasted = "";
  @state() private columns = 0;
  @state() private trouble = "";
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = ""));

  protected override render() {
    const patches = this.circles.filter(({ role }) => role === "patch").length;
    return html`<details>
      <summary>A chart of several known colours</summary>
      <bole-text
        label="L*, a*, b* of its patches, one on a line"
        multiline
        .rows=${4}
        .maxLength=${20_000}
        .value=${this.pasted}
        hint="Row by row from the top left, with a name if you like: red: 43.2 51.0 28.5. They must hold for the light and observer below."
        @input=${(event: CustomEvent<{ value: string }>) => (this.pasted = event.detail.value)}
      ></bole-text>
      <div aria-live="polite">
        ${this.trouble ? html`<div class="trouble"><p>${this.trouble}</p></div>` : nothing}
      </div>
      <button ?disabled=${this.pasted.trim() === ""} @click=${this.#lay}>Lay circles for them</button>
      ${patches >= 4 ? this.#corners(patches) : nothing}
    </details>`;
  }

  #corners(patches: number) {
    const columns = this.columns || usualColumns(patches);
    const lined = linedUp(this.circles, columns);
    return html`
      <p>Drag the four circles at the corners onto their patches; the others follow when you press the button.</p>
      <div class="fields">
        <bole-number
          label="Patches in a row"
          .value=${columns}
          .min=${1}
          .max=${patches}
          .step=${1}
          .digits=${0}
          @change=${(event: CustomEvent<{ value: number }>) => (this.columns = event.detail.value)}
        ></bole-number>
      </div>
      <button ?disabled=${!lined} @click=${() => lined && this.#give(lined)}>Line the others up between the corners</button>
    `;
  }

  readonly #lay = (): void => {
    this.trouble = "";
    try {
      const { samples } = readLabText(this.pasted, "pasted text");
      if (samples.length + this.circles.length > mostCircles) {
        this.trouble = `${samples.length} patches are too many: at most ${mostCircles} circles are allowed.`;
        return;
      }
      const columns = usualColumns(samples.length);
      this.#give([...this.circles, ...chartCircles(samples, columns, this.circles, this.size)]);
      this.columns = columns;
      this.pasted = "";
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  };

  #give(circles: readonly KeptCircle[]): void {
    emit(this, "circles", { circles });
  }

  static override styles = [
    ...viewStyles,
    css`
      button {
        font-weight: 400;
        margin-block: 10px;
      }
    `,
  ];
}
