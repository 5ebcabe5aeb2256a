import { css, html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { compareCells } from "../document/compare.ts";
import type { CellChoice, CellConflict } from "../document/merge.ts";
import type { NotebookCell } from "../document/notebook.ts";
import { fieldWords } from "./fieldWords.ts";
import { Follow } from "./follow.ts";
import type { OpenNotebook } from "./openNotebook.ts";
import { Panel } from "./panel.ts";

/**
 * Brings two states of a notebook together: cell by cell, or both kept as notebooks of their own.
 *
 * @fires bole-close - the dialogue is done with
 */
@customElement("bole-merge")
export class MergeDialog extends Panel {
  @property({ attribute: false }) open!: OpenNotebook;
  @state() private choices: ReadonlyMap<string, CellChoice> = new Map();
  @state() private heading: "ours" | "theirs" = "ours";

  constructor() {
    super();
    new Follow(this, () => this.open);
  }

  protected override firstUpdated(): void {
    this.renderRoot.querySelector("dialog")?.showModal();
  }

  protected override updated(): void {
    if (!this.open.conflict) this.#close();
  }

  protected override render() {
    const { conflict } = this.open;
    if (!conflict) return html`<dialog></dialog>`;
    const { merge, revision } = conflict;
    const where = revision ? "elsewhere" : "in a window that was closed";
    return html`<dialog aria-labelledby="heading" @close=${() => this.#close()}>
      <h2 id="heading">Bring both together</h2>
      <p>
        This notebook was changed ${where} and here.
        ${merge.fromTheirs.length > 0 ? html`Changed only ${where}, and taken as they are: ${this.#names(merge.fromTheirs)}.` : nothing}
        Nothing is lost either way: earlier states are among the revisions.
      </p>
      ${
        merge.titleConflict
          ? html`<fieldset>
              <legend>Title of the notebook</legend>
              ${(["ours", "theirs"] as const).map((side) => this.#option("title", side, this.heading, `${sideWords[side]}: “${merge.titleConflict?.[side]}”`, () => (this.heading = side)))}
            </fieldset>`
          : nothing
      }
      ${merge.conflicts.map((cell) => this.#cell(cell))}
      ${this.troubleLine()}
      <div class="row">
        <button class="main" @click=${() => this.#settle()}>Bring together</button>
        <button @click=${() => this.#keepBoth()}>Keep both as two notebooks</button>
        <button @click=${() => this.#close()}>Decide later</button>
      </div>
    </dialog>`;
  }

  #names(ids: readonly string[]): string {
    const { theirs, base } = this.open.conflict!;
    const title = (id: string) =>
      [...theirs.cells, ...base.cells].find((cell) => cell.id === id)?.title || id;
    const shown = ids.slice(0, 6).map((id) => `“${title(id)}”`);
    return ids.length > 6 ? `${shown.join(", ")} and ${ids.length - 6} more` : shown.join(", ");
  }

  #cell(conflict: CellConflict) {
    const { id, title, ours, theirs } = conflict;
    const chosen = this.choices.get(id) ?? conflict.chosen;
    const choose = (choice: CellChoice) => () => {
      this.choices = new Map([...this.choices, [id, choice]]);
    };
    const options: CellChoice[] = ours && theirs ? ["ours", "theirs", "both"] : ["ours", "theirs"];
    const words = (choice: CellChoice) => {
      if (choice === "both") return "Keep both cells";
      const cell = choice === "ours" ? ours : theirs;
      return cell
        ? `${sideWords[choice]}: ${this.#changes(conflict.base, cell)}`
        : `${sideWords[choice]}: removed`;
    };
    return html`<fieldset>
      <legend>${title || id}</legend>
      ${options.map((choice) => this.#option(id, choice, chosen, words(choice), choose(choice)))}
    </fieldset>`;
  }

  #option(group: string, value: string, chosen: string, text: string, choose: () => void) {
    return html`<label>
      <input type="radio" name=${group} value=${value} .checked=${value === chosen} @change=${choose} />
      <span>${text}</span>
    </label>`;
  }

  #changes(base: NotebookCell | undefined, cell: NotebookCell): string {
    if (!base) return "a new cell";
    const fields = compareCells(base, cell);
    const words = fields.slice(0, 4).map((field) => fieldWords(field, cell, this.open.store.registry));
    return [...words, ...(fields.length > 4 ? [`${fields.length - 4} more`] : [])].join("; ") || "as before";
  }

  #settle(): void {
    this.open.settle({ title: this.heading, cells: this.choices });
  }

  #keepBoth(): Promise<void> {
    return this.attempt(() => this.open.keepBoth(), "The second notebook could not be made: ");
  }

  #close(): void {
    this.dispatchEvent(new Event("bole-close"));
  }

  static override styles = [
    Panel.styles,
    css`
      dialog {
        inline-size: min(720px, calc(100vw - 24px));
        max-block-size: calc(100vh - 24px);
        overflow: auto;
        padding: 16px 20px;
        border: 2px solid var(--bole-ink);
        border-radius: 8px;
        background: var(--bole-paper);
        color: var(--bole-ink);
      }
      dialog::backdrop {
        background: rgb(0 0 0 / 45%);
      }
      h2 {
        margin: 0;
        font-size: 1.5em;
      }
      p {
        margin: 1em 0;
      }
      fieldset {
        margin: 12px 0;
        padding: 6px 14px 10px;
        border: 1.5px solid var(--bole-line);
        border-radius: 6px;
      }
      legend {
        font-weight: 700;
        padding: 0 6px;
      }
      label {
        display: flex;
        gap: 12px;
        align-items: center;
        min-block-size: var(--bole-target);
        margin: 0;
        font-weight: 400;
        overflow-wrap: anywhere;
      }
      input {
        inline-size: 24px;
        block-size: 24px;
        flex: none;
        accent-color: var(--bole-ink);
      }
      .row {
        margin-block-start: 14px;
      }
      .main {
        border-width: 3px;
      }
    `,
  ];
}

const sideWords = { ours: "As it is here", theirs: "As it is there" } as const;
