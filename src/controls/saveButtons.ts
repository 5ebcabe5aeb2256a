import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { messageOf } from "../graph/messageOf.ts";
import { saveText } from "./saveFile.ts";
import { controlStyles, notPrinted, tokens } from "./tokens.ts";

/** A file that can be saved, in one form. */
interface SavableFile {
  readonly form: string;
  /** ending with its dot */
  readonly ending: string;
  readonly type: string;
  /** @param created date as text */
  write(created: string): string;
}

/** Small buttons that save what a cell shows as files. */
@customElement("bole-save-buttons")
export class SaveButtons extends LitElement {
  /** what is saved, such as "the curves" */
  @property() label = "";
  /** name of the file, without an ending */
  @property() name = "";
  @property({ attribute: false }) files: readonly SavableFile[] = [];
  @state() private trouble = "";

  protected override render() {
    return html`
      <div class="row" role="group" aria-label=${`Save ${this.label}`}>
        <span>Save ${this.label} as</span>
        ${this.files.map((file) => html`<button type="button" @click=${() => this.#save(file)}>${file.form}</button>`)}
      </div>
      <div aria-live="polite">${this.trouble ? html`<div class="trouble"><p>${this.trouble}</p></div>` : nothing}</div>
    `;
  }

  #save({ ending, type, write }: SavableFile): void {
    this.trouble = "";
    try {
      saveText(`${fileName(this.name)}${ending}`, write(new Date().toISOString().slice(0, 10)), type);
    } catch (error) {
      this.trouble = `It could not be saved: ${messageOf(error)}`;
    }
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    css`
      .row {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 8px 12px;
        margin-block: 12px;
      }
      button {
        font-weight: 400;
      }
    `,
  ];
}

/** A title as a file name that every system takes. */
function fileName(title: string): string {
  const plain = title
    .normalize("NFKD")
    .replace(/[^A-Za-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60)
    .toLowerCase();
  return plain === "" ? "colour" : plain;
}
