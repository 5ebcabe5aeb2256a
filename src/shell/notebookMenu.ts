import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { controlStyles, tokens } from "../controls/tokens.ts";
import {
  emptyNotebook,
  type NotebookDocument,
  parseNotebook,
  serialiseNotebook,
} from "../document/notebook.ts";
import { type NotebookEntry, service } from "./service.ts";

/**
 * The notebooks in the folder: open one, start an empty one, copy, take one in from a file, save one as a file.
 * Events: `bole-open` ({name}), `bole-tell` ({text}).
 */
@customElement("bole-notebooks")
export class NotebookMenu extends LitElement {
  /** Name of the notebook that is open now. */
  @property() open = "";
  @property({ attribute: false }) document: NotebookDocument | undefined;
  @state() private entries: readonly NotebookEntry[] | undefined;
  @state() private trouble = "";

  override connectedCallback(): void {
    super.connectedCallback();
    void this.#load();
  }

  async #load(): Promise<void> {
    try {
      this.entries = await service.list();
      this.trouble = "";
    } catch (error) {
      this.trouble = `The list could not be read: ${(error as Error).message}`;
    }
  }

  protected override render() {
    return html`<nav aria-label="Notebooks">
      <ul>
        ${this.entries?.map(
          (entry) => html`<li>
            <button aria-current=${entry.name === this.open ? "page" : nothing} @click=${() => this.#open(entry.name)}>
              ${entry.title || entry.name}
            </button>
          </li>`,
        )}
      </ul>
      <div class="row">
        <button @click=${() => this.#create(emptyNotebook("New notebook"))}>Start an empty notebook</button>
        ${this.document ? html`<button @click=${() => this.#copy()}>Copy this notebook</button>` : nothing}
        ${this.document ? html`<button @click=${() => this.#export()}>Save as a file</button>` : nothing}
      </div>
      <bole-file
        label="Take in a notebook from a file"
        accept=".json"
        .maxBytes=${20_000_000}
        @file=${(event: CustomEvent<{ name: string; text: string }>) => this.#import(event.detail)}
      ></bole-file>
      ${this.trouble ? html`<p role="alert">${this.trouble}</p>` : nothing}
    </nav>`;
  }

  #open(name: string): void {
    this.dispatchEvent(new CustomEvent("bole-open", { detail: { name } }));
  }

  async #create(document: NotebookDocument): Promise<void> {
    try {
      this.#open((await service.create(document)).name);
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }

  #copy(): void {
    const { document } = this;
    if (document) void this.#create({ ...document, title: `${document.title} (copy)`.slice(0, 200) });
  }

  #import({ name, text }: { name: string; text: string }): void {
    try {
      void this.#create(parseNotebook(text));
    } catch (error) {
      this.trouble = `${name}: ${(error as Error).message}`;
    }
  }

  #export(): void {
    const { document: notebook } = this;
    if (!notebook) return;
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([serialiseNotebook(notebook)], { type: "application/json" }));
    link.download = `${this.open || "notebook"}.bole.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      nav {
        background: var(--bole-paper);
        border-bottom: 1px solid var(--bole-hairline);
        padding: 12px 16px;
        display: grid;
        gap: 12px;
      }
      ul,
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
        list-style: none;
        padding: 0;
        margin: 0;
      }
      [aria-current] {
        border-width: 3px;
      }
    `,
  ];
}
