import { css, html, nothing, type PropertyValues } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { compareCells } from "../document/compare.ts";
import { isAsKept, noteVersion, takeVersion } from "../document/libraryCell.ts";
import type { ItemVersion } from "../document/libraryItem.ts";
import type { NotebookCell } from "../document/notebook.ts";
import { messageOf } from "../graph/messageOf.ts";
import { fieldWords } from "./fieldWords.ts";
import { Follow } from "./follow.ts";
import { library } from "./libraryIndex.ts";
import type { NotebookStore } from "./notebookStore.ts";
import { Panel } from "./panel.ts";
import { service } from "./service.ts";

/**
 * How a cell stands to the library: which version it was taken from, whether there is a newer one, and the way to keep
 * it there.
 *
 * @fires bole-close - the form for keeping the cell is done with
 */
@customElement("bole-library-line")
export class LibraryLine extends Panel {
  @property({ attribute: false }) store!: NotebookStore;
  @property({ attribute: false }) cell!: NotebookCell;
  /** True while the form for keeping the cell is shown. */
  @property({ type: Boolean }) keeping = false;
  @state() private taken: ItemVersion | undefined;
  @state() private newest: ItemVersion | undefined;
  @state() private comparing = false;

  constructor() {
    super();
    new Follow(
      this,
      () => library,
      () => void this.#load(),
    );
  }

  override connectedCallback(): void {
    super.connectedCallback();
    void this.#load();
  }

  protected override willUpdate(changed: PropertyValues<this>): void {
    const before = changed.get("cell");
    if (before && before.library !== this.cell.library) void this.#load();
  }

  async #load(): Promise<void> {
    const source = this.cell?.library;
    this.taken = this.newest = undefined;
    const entry = source && library.entry(source.name);
    if (!source || !entry || entry.problem) return this.requestUpdate();
    try {
      const taken = await library.version(source.name, source.version);
      const newest = await library.version(source.name, entry.latest);
      if (this.cell.library === source) [this.taken, this.newest] = [taken, newest];
    } catch (error) {
      this.trouble = messageOf(error);
    }
  }

  protected override render() {
    return html`
      ${this.cell.library ? this.#source(this.cell.library) : nothing}
      ${this.keeping ? this.#form() : nothing}
      ${this.troubleLine()}
    `;
  }

  #source({ name, version }: { name: string; version: number }) {
    const entry = library.entry(name);
    const isNewer = entry !== undefined && entry.latest > version;
    const isChanged = this.taken && !isAsKept(this.cell, this.taken);
    return html`<div class="row line">
      <span>
        From the library: “${entry?.title ?? name}”, version ${version}${isChanged ? ", changed here since" : ""}.
        ${library.entries && !entry ? "It is not in the library any more; this cell keeps its copy." : nothing}
        ${isNewer ? html`<strong>Version ${entry.latest} is there.</strong>` : nothing}
      </span>
      ${
        isNewer && this.newest
          ? html`
              <button aria-expanded=${this.comparing} @click=${() => (this.comparing = !this.comparing)}>What differs?</button>
              <button @click=${() => this.#take(this.newest!)}>Take version ${entry.latest}</button>
            `
          : nothing
      }
      ${isChanged ? html`<button @click=${() => this.#take(this.taken!)}>Back to version ${version}</button>` : nothing}
      ${this.comparing && isNewer && this.newest ? this.#differences(this.newest) : nothing}
    </div>`;
  }

  #differences(version: ItemVersion) {
    const fields = compareCells(this.cell, { ...this.cell, parameters: version.parameters });
    return html`<ul>
      ${version.note ? html`<li>“${version.note}”</li>` : nothing}
      ${fields.map((field) => html`<li>${fieldWords(field, this.cell, this.store.registry)}</li>`)}
      ${fields.length === 0 ? html`<li>The settings are the same.</li>` : nothing}
    </ul>`;
  }

  #take(version: ItemVersion): void {
    const { cell } = this;
    if (cell.library)
      this.store.replace(takeVersion(this.store.document, cell.id, cell.library.name, version));
    this.comparing = false;
  }

  #form() {
    const source = this.cell.library;
    const entry = source && library.entry(source.name);
    return html`<form
      @submit=${(event: SubmitEvent) => {
        event.preventDefault();
        const isNew = event.submitter?.getAttribute("value") === "new";
        void this.#keep(isNew ? undefined : source?.name, entry?.latest);
      }}
    >
      <p>
        Other notebooks can then use “${this.cell.title}” as it is now. Each keeps the version it took and is told of
        newer ones.
      </p>
      <label for="note">What is new in it (may be left empty)</label>
      <input id="note" class="box" maxlength="500" autocomplete="off" />
      <div class="row">
        ${entry ? html`<button value="next">Keep as version ${entry.latest + 1} of “${entry.title}”</button>` : nothing}
        <button value="new">${entry ? "Keep as a new item" : "Keep it"}</button>
        <button type="button" @click=${() => this.#close()}>Cancel</button>
      </div>
    </form>`;
  }

  async #keep(name: string | undefined, latest: number | undefined): Promise<void> {
    const { kind, title, parameters, id } = this.cell;
    const note = this.renderRoot.querySelector<HTMLInputElement>("#note")?.value.trim() ?? "";
    const kept = { kind, title, note, parameters };
    await this.attempt(async () => {
      const version =
        name === undefined || latest === undefined
          ? await service.keepInLibrary(kept)
          : await service.keepVersion(name, kept, latest);
      await library.refresh();
      this.store.replace(noteVersion(this.store.document, id, version));
      this.#close();
    }, "It was not kept: ");
  }

  #close(): void {
    this.dispatchEvent(new Event("bole-close"));
  }

  static override styles = [
    Panel.styles,
    css`
      .row {
        gap: 6px 10px;
      }
      .line,
      form {
        padding: 8px 14px;
        margin-block-start: 8px;
        background: var(--bole-press);
        border-radius: 6px;
      }
      ul {
        flex-basis: 100%;
        margin: 0;
        padding-inline-start: 20px;
      }
      form p {
        max-inline-size: 70ch;
      }
      .box {
        inline-size: 100%;
        max-inline-size: 44rem;
        padding: 0 0.7rem;
        margin-block-end: 8px;
      }
      @media print {
        button,
        form {
          display: none;
        }
      }
    `,
  ];
}
