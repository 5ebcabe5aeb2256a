import { css, html, nothing, type PropertyValues } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { type CellDifference, compareNotebooks, type NotebookDifference } from "../document/compare.ts";
import { type NotebookDocument, parseNotebook } from "../document/notebook.ts";
import type { RevisionEntry } from "../document/served.ts";
import { fieldWords } from "./fieldWords.ts";
import type { OpenNotebook } from "./openNotebook.ts";
import { Panel } from "./panel.ts";
import { service } from "./service.ts";
import { timeWords } from "./timeWords.ts";

/**
 * Earlier states of a notebook: which cells differ from now, and the way back to one.
 *
 * @fires bole-open - CustomEvent<{name}>: a notebook whose file could not be read has been restored
 */
@customElement("bole-revisions")
export class RevisionsPanel extends Panel {
  @property() name = "";
  /** The open notebook; undefined when its file cannot be read. */
  @property({ attribute: false }) notebook: OpenNotebook | undefined;
  @state() private entries: readonly RevisionEntry[] | undefined;
  @state() private compared: { id: string; difference: NotebookDifference } | undefined;
  @state() private done = "";

  protected override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has("name")) void this.#load();
  }

  #load(): Promise<void> {
    return this.attempt(async () => {
      // The state that is shown is the first of the list only once it is saved.
      await this.notebook?.flush();
      this.entries = await service.revisions(this.name);
    }, "The earlier states could not be listed: ");
  }

  protected override render() {
    return html`
      <h2>Earlier states</h2>
      <p>The last 50 saves are kept. Going back to one is a change like any other and can be undone.</p>
      ${this.troubleLine()}
      <p role="status">${this.done}</p>
      <ol class="list">
        ${this.entries?.map(
          (entry, index) => html`<li>
            <span>${timeWords(entry.saved)}, ${sizeWords(entry.size)}${index === 0 && this.#isNow(entry) ? ", as it is now" : ""}</span>
            ${
              this.notebook
                ? html`<button
                    aria-expanded=${this.compared?.id === entry.id}
                    aria-label=${`What differs between ${timeWords(entry.saved)} and now?`}
                    @click=${() => this.#compare(entry)}
                  >What differs?</button>`
                : nothing
            }
            <button aria-label=${`Go back to ${timeWords(entry.saved)}`} @click=${() => this.#restore(entry)}>Go back</button>
            ${this.compared?.id === entry.id ? this.#difference(this.compared.difference) : nothing}
          </li>`,
        )}
      </ol>
      ${this.entries?.length === 0 ? html`<p>None has been kept yet.</p>` : nothing}
    `;
  }

  #isNow({ revision }: RevisionEntry): boolean {
    return revision === this.notebook?.savedRevision && !this.notebook.isUnsaved;
  }

  #difference({ title, cells }: NotebookDifference) {
    if (!title && cells.length === 0) return html`<p class="difference">Nothing: it is as now.</p>`;
    return html`<ul class="difference">
      ${title ? html`<li>Title then: “${title.before}”</li>` : nothing}
      ${cells.map((cell) => html`<li>${this.#cellWords(cell)}</li>`)}
    </ul>`;
  }

  #cellWords({ id, title, change, fields }: CellDifference): string {
    const name = `“${title || id}”`;
    if (change === "added") return `${name} was not there yet`;
    if (change === "removed") return `${name} was there`;
    if (change === "moved") return `${name} stood elsewhere`;
    const cell = this.notebook?.store.cell(id);
    const words = cell
      ? fields.slice(0, 5).map((field) => fieldWords(field, cell, this.notebook!.store.registry))
      : [];
    return `${name} then and now: ${[...words, ...(fields.length > 5 ? [`${fields.length - 5} more`] : [])].join("; ")}`;
  }

  async #read({ id }: RevisionEntry): Promise<NotebookDocument> {
    return parseNotebook(await service.revision(this.name, id));
  }

  async #compare(entry: RevisionEntry): Promise<void> {
    if (this.compared?.id === entry.id) this.compared = undefined;
    else
      await this.#try(async () => {
        const then = await this.#read(entry);
        if (this.notebook)
          this.compared = {
            id: entry.id,
            difference: compareNotebooks(then, this.notebook.store.document),
          };
      });
  }

  #restore(entry: RevisionEntry): Promise<void> {
    return this.#try(async () => {
      if (this.notebook) {
        this.notebook.place(await this.#read(entry), `back to the state of ${timeWords(entry.saved)}`);
        this.compared = undefined;
        this.done = `The notebook is as it was ${timeWords(entry.saved)}.`;
        await this.#load();
      } else {
        await service.restore(this.name, entry.id);
        this.dispatchEvent(new CustomEvent("bole-open", { detail: { name: this.name } }));
      }
    });
  }

  #try(work: () => Promise<void>): Promise<void> {
    this.done = "";
    return this.attempt(work);
  }

  static override styles = [
    Panel.styles,
    css`
      .list {
        gap: 6px;
        max-block-size: 60vh;
        overflow: auto;
      }
      .list > li {
        padding: 3px;
      }
      .difference {
        flex-basis: 100%;
        margin: 0;
        padding-inline-start: 20px;
      }
      .difference li {
        overflow-wrap: anywhere;
      }
    `,
  ];
}

/** A size in kB or MB. */
function sizeWords(bytes: number): string {
  return bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}
