import { type CSSResultGroup, css, html, LitElement, nothing } from "lit";
import { state } from "lit/decorators.js";
import { controlStyles, tokens } from "../controls/tokens.ts";
import { messageOf } from "../graph/messageOf.ts";

/** Something around the cells with work that may fail, such as asking the server; then it says why. */
export abstract class Panel extends LitElement {
  /** What went wrong, for the person; empty when nothing did. */
  @state() protected trouble = "";

  /**
   * Do some work.
   * @param failed words before the reason when it fails
   */
  protected async attempt(work: () => unknown, failed = ""): Promise<void> {
    this.trouble = "";
    try {
      await work();
    } catch (error) {
      this.trouble = failed + messageOf(error);
    }
  }

  protected troubleLine(text = this.trouble) {
    return text ? html`<p class="trouble" role="alert">${text}</p>` : nothing;
  }

  static override styles: CSSResultGroup = [
    tokens,
    controlStyles,
    css`
      h2 {
        margin: 0 0 6px;
        font-size: 1.15rem;
      }
      p {
        margin: 0 0 8px;
      }
      .row,
      .list > li {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
        align-items: center;
      }
      .list {
        list-style: none;
        margin: 0;
        padding: 0;
        display: grid;
        gap: 8px;
      }
      .list > li > span:first-child {
        flex: 1 1 16rem;
        overflow-wrap: anywhere;
      }
    `,
  ];
}
