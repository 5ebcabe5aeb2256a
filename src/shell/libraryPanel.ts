import { css, html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { addFromLibrary } from "../document/libraryCell.ts";
import type { ItemVersion, LibraryItem } from "../document/libraryItem.ts";
import type { LibraryEntry } from "../document/served.ts";
import { Follow } from "./follow.ts";
import { library } from "./libraryIndex.ts";
import type { OpenNotebook } from "./openNotebook.ts";
import { Panel } from "./panel.ts";
import { service } from "./service.ts";
import { timeWords } from "./timeWords.ts";

/**
 * What is kept for many notebooks: put a version into this one, look at the versions, delete an item.
 *
 * @fires bole-done - CustomEvent<{id}>: a cell was added
 */
@customElement("bole-library")
export class LibraryPanel extends Panel {
  @property({ attribute: false }) notebook: OpenNotebook | undefined;
  @state() private shown: { name: string; item: LibraryItem } | undefined;
  @state() private asking = "";

  constructor() {
    super();
    new Follow(this, () => library);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    void library.refresh();
  }

  protected override render() {
    const { entries } = library;
    return html`
      <h2>Library</h2>
      ${this.troubleLine(this.trouble || library.trouble)}
      ${
        entries && entries.length === 0
          ? html`<p>
              Nothing is kept yet. In the menu of a cell that stands for itself, such as a pigment set or a part, choose
              “Keep in the library”.
            </p>`
          : nothing
      }
      <ul class="list">${entries?.map((entry) => this.#entry(entry))}</ul>
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
        <strong>${title}</strong>, ${known?.label ?? kind.replaceAll("-", " ")}, version ${latest} of ${timeWords(saved)}${
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
    return html`<ul class="list versions">
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
    else await this.attempt(async () => (this.shown = { name, item: await library.item(name) }));
  }

  #insert(name: string, kind: string): Promise<void> {
    return this.attempt(async () => {
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
    return this.attempt(async () => {
      await service.removeFromLibrary(name);
      this.asking = "";
      await library.refresh();
    });
  }

  static override styles = [
    Panel.styles,
    css`
      p {
        max-inline-size: 75ch;
      }
      .versions {
        flex-basis: 100%;
        padding-inline-start: 20px;
      }
    `,
  ];
}
