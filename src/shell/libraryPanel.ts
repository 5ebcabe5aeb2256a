import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { controlStyles, tokens } from "../controls/tokens.ts";
import { addFromLibrary } from "../document/libraryCell.ts";
import type { ItemVersion, LibraryItem } from "../document/libraryItem.ts";
import { library } from "./libraryIndex.ts";
import type { OpenNotebook } from "./openNotebook.ts";
import { timeWords } from "./revisionsPanel.ts";
import { type LibraryEntry, service } from "./service.ts";

/**
 * What is kept for many notebooks: put a version into this one, look at the versions, delete an item.
 *
 * @fires bole-done - CustomEvent<{id}>: a cell was added
 */
@customElement("bole-library")
export class LibraryPanel extends LitElement {
  @property({ attribute: false }) notebook: OpenNotebook | undefined;
  @state() private shown: { name: string; item: LibraryItem } | undefined;
  @state() private asking = "";
  @state() private trouble = "";
  readonly #changed = () => this.requestUpdate();

  override connectedCallback(): void {
    super.connectedCallback();
    library.addEventListener("change", this.#changed);
    void library.refresh();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    library.removeEventListener("change", this.#changed);
  }

  protected override render() {
    const { entries } = library;
    return html`
      <h2>Library</h2>
      ${this.trouble || library.trouble ? html`<p class="trouble" role="alert">${this.trouble || library.trouble}</p>` : nothing}
      ${
        entries && entries.length === 0
          ? html`<p>
              Nothing is kept yet. In the menu of a cell that stands for itself, such as a pigment set or a part, choose
              “Keep in the library”.
            </p>`
          : nothing
      }
      <ul>${entries?.map((entry) => this.#entry(entry))}</ul>
    `;
  }

  #entry(entry: LibraryEntry) {
    const { name, title, kind, latest, saved, problem } = entry;
    if (problem) return html`<li><span>${name}: ${problem}</span></li>`;
    const known = this.notebook?.store.registry.get(kind);
    const used = this.notebook?.store.document.cells.filter((cell) => cell.library?.name === name) ?? [];
    const older = used.filter((cell) => (cell.library?.version ?? 0) < latest);
    return html`<li>
      <span>
        <strong>${title}</strong>, ${known?.label ?? kind}, version ${latest} of ${timeWords(saved)}${
          used.length > 0 ? `, used here${older.length > 0 ? " in an older version" : ""}` : ""
        }
      </span>
      ${
        this.asking === name
          ? html`<span>Notebooks that use it keep their copies.</span>
              <button @click=${() => this.#remove(name)}>Move it to the bin</button>
              <button @click=${() => (this.asking = "")}>Keep it</button>`
          : html`
              ${this.notebook && known ? html`<button @click=${() => this.#insert(name, kind)}>Put it into this notebook</button>` : nothing}
              <button aria-expanded=${this.shown?.name === name} @click=${() => this.#show(name)}>Versions</button>
              <button @click=${() => (this.asking = name)}>Delete…</button>
            `
      }
      ${this.shown?.name === name ? this.#versions(name, this.shown.item) : nothing}
    </li>`;
  }

  #versions(name: string, item: LibraryItem) {
    return html`<ul class="versions">
      ${[...item.versions].reverse().map(
        (version) => html`<li>
          <span>Version ${version.number}, ${timeWords(version.saved)}: ${version.title}${version.note ? ` – ${version.note}` : ""}</span>
          ${this.notebook ? html`<button @click=${() => this.#add(name, item.kind, version)}>Put version ${version.number} in</button>` : nothing}
        </li>`,
      )}
    </ul>`;
  }

  async #show(name: string): Promise<void> {
    if (this.shown?.name === name) this.shown = undefined;
    else await this.#try(async () => (this.shown = { name, item: await library.item(name) }));
  }

  #insert(name: string, kind: string): Promise<void> {
    return this.#try(async () => {
      const { versions } = await library.item(name);
      this.#add(name, kind, versions[versions.length - 1]);
    });
  }

  #add(name: string, kind: string, version: ItemVersion): void {
    if (!this.notebook) return;
    const { store } = this.notebook;
    const { document, id } = addFromLibrary(store.document, kind, name, version);
    store.replace(document);
    this.dispatchEvent(new CustomEvent("bole-done", { detail: { id } }));
  }

  #remove(name: string): Promise<void> {
    return this.#try(async () => {
      await service.removeFromLibrary(name);
      this.asking = "";
      await library.refresh();
    });
  }

  async #try(work: () => Promise<unknown>): Promise<void> {
    this.trouble = "";
    try {
      await work();
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      h2 {
        margin: 0 0 6px;
        font-size: 1.15rem;
      }
      p {
        margin: 0 0 8px;
        max-inline-size: 75ch;
      }
      ul {
        list-style: none;
        margin: 0;
        padding: 0;
        display: grid;
        gap: 8px;
      }
      li {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
        align-items: center;
      }
      li > span:first-child {
        flex: 1 1 16rem;
        overflow-wrap: anywhere;
      }
      .versions {
        flex-basis: 100%;
        padding-inline-start: 20px;
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-library": LibraryPanel;
  }
}
