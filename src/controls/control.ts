import { html, LitElement, nothing, type TemplateResult } from "lit";
import { property } from "lit/decorators.js";

/** What every control has: its label, a line of explanation, words for what is wrong, and focus on the box inside. */
export abstract class Control extends LitElement {
  static override shadowRootOptions: ShadowRootInit = {
    ...LitElement.shadowRootOptions,
    delegatesFocus: true,
  };

  @property() label = "";
  /** a line of explanation under the control */
  @property() hint = "";
  @property({ type: Boolean }) disabled = false;

  protected hintLine() {
    return this.hint ? html`<p class="hint" id="hint">${this.hint}</p>` : nothing;
  }

  /**
   * What is wrong, in words. The region is always there, so that its change is read aloud.
   * @param back the way back
   */
  protected troubleLine(trouble: string | undefined, back: unknown = nothing): TemplateResult {
    return html`<div aria-live="polite">
      ${
        trouble === undefined
          ? nothing
          : html`<div class="trouble"><p id="trouble"><strong>Check this:</strong> ${trouble}</p>${back}</div>`
      }
    </div>`;
  }
}
