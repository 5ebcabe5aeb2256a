import { css, html, nothing, type PropertyValues } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import "../controls/boleFile.ts";
import "../controls/index.ts";
import { ask } from "../controls/emit.ts";
import { emptyNotebook, type NotebookDocument, parseNotebook } from "../document/notebook.ts";
import { notebookInPage } from "../document/savedPage.ts";
import type { BinEntry, NotebookEntry } from "../document/served.ts";
import { messageOf } from "../graph/messageOf.ts";
import { type LeftEdits, lostEdits } from "./leftEdits.ts";
import { saveAsFile } from "./notebookFile.ts";
import "./notebookList.ts";
import { openJournals } from "./offlineJournal.ts";
import type { OpenNotebook } from "./openNotebook.ts";
import { Panel } from "./panel.ts";
import { service } from "./service.ts";
import { browserTabs } from "./tabs.ts";

type Part = "revisions" | "library" | "bin" | "rename" | "delete" | "devices" | "page";

/**
 * The notebooks in the folder: open one, start an empty one, copy, rename, delete to the bin and bring back, take one in
 * from a file, save one as a file or as a page; earlier states, the library, and the devices that are let in.
 *
 * @fires bole-open - CustomEvent<{name, renamed}>: a notebook is to be shown, or the open one under its new name
 * @fires bole-gone - the open notebook has been deleted
 * @fires bole-go - CustomEvent<{id}>: a cell that was added is to be shown
 */
@customElement("bole-notebooks")
export class NotebookMenu extends Panel {
  /** The notebook that is open now. */
  @property({ attribute: false }) notebook: OpenNotebook | undefined;
  /** Name of a notebook whose file cannot be read: its earlier states are offered. */
  @property() unreadable = "";
  @state() private entries: readonly NotebookEntry[] | undefined;
  @state() private bin: readonly BinEntry[] = [];
  @state() private lost: readonly LeftEdits[] = [];
  @state() private section: Part | undefined;
  @state() private listTrouble = "";

  override connectedCallback(): void {
    super.connectedCallback();
    void this.#load();
  }

  protected override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has("unreadable") && this.unreadable) void this.#show("revisions");
  }

  async #load(): Promise<void> {
    try {
      this.entries = await service.list();
      const names = new Set(this.entries.map(({ name }) => name));
      this.lost = await lostEdits(names, { service, journals: await openJournals(), tabs: browserTabs() });
      this.listTrouble = "";
    } catch (error) {
      this.listTrouble = `The list could not be read: ${messageOf(error)}`;
    }
  }

  protected override render() {
    const { notebook } = this;
    return html`<nav aria-label="Notebooks">
      <bole-notebook-list
        .entries=${this.entries ?? []}
        .current=${notebook?.name ?? ""}
        @pick=${(event: CustomEvent<{ name: string }>) => this.#open(event.detail.name)}
      ></bole-notebook-list>
      <div class="row">
        <button @click=${() => this.#create(emptyNotebook("New notebook"))}>Start an empty notebook</button>
        ${
          notebook
            ? html`
                <button @click=${() => this.#copy(notebook)}>Copy this notebook</button>
                ${this.#toggle("rename", "Rename the file…")}
                <button @click=${() => saveAsFile(notebook.store.document, notebook.name)}>Save as a file</button>
                ${this.#toggle("page", "Save as a page…")}
                ${this.#toggle("delete", "Delete…")} ${this.#toggle("revisions", "Earlier states")}
              `
            : nothing
        }
        ${this.#toggle("library", "Library")} ${this.#toggle("bin", "Bin")} ${this.#toggle("devices", "Devices")}
      </div>
      ${this.troubleLine(this.listTrouble)} ${this.troubleLine()}
      ${this.section ? html`<section>${this.#part(this.section)}</section>` : nothing}
      ${this.lost.map((edits) => this.#lost(edits))}
      <bole-file
        label="Take in a notebook from a file"
        accept=".json,.html"
        .maxBytes=${20_000_000}
        @file=${(event: CustomEvent<{ name: string; text: string }>) => this.#import(event.detail)}
      ></bole-file>
    </nav>`;
  }

  #toggle(part: Part, label: string) {
    return html`<button
      aria-expanded=${this.section === part}
      @click=${() => this.#show(this.section === part ? undefined : part)}
    >${label}</button>`;
  }

  #show(part: Part | undefined): Promise<void> {
    return this.attempt(async () => {
      if (part === "revisions") await import("./revisionsPanel.ts");
      if (part === "library") await import("./libraryPanel.ts");
      if (part === "page") await import("./handoutPanel.ts");
      if (part === "devices") await import("./devicesSheet.ts");
      if (part === "bin") this.bin = await service.bin();
      this.section = part;
    });
  }

  #part(part: Part) {
    const { notebook } = this;
    switch (part) {
      case "revisions":
        return html`<bole-revisions
          .name=${notebook?.name ?? this.unreadable}
          .notebook=${notebook}
          @bole-open=${(event: CustomEvent<{ name: string }>) => this.#open(event.detail.name)}
        ></bole-revisions>`;
      case "library":
        return html`<bole-library
          .notebook=${notebook}
          @bole-done=${(event: CustomEvent<{ id: string }>) => ask(this, "bole-go", event.detail)}
        ></bole-library>`;
      case "devices":
        return html`<bole-devices></bole-devices>`;
      case "page":
        return html`<bole-handout-panel .notebook=${notebook}></bole-handout-panel>`;
      case "bin":
        return this.#binPart();
      case "rename":
        return notebook ? this.#renamePart(notebook) : nothing;
      case "delete":
        return notebook ? this.#deletePart(notebook) : nothing;
    }
  }

  #binPart() {
    return html`
      <h2>Bin</h2>
      <p>${this.bin.length === 0 ? "The bin is empty." : "Nothing here is erased; the files are in the hidden folder .bole/bin."}</p>
      <ul class="list">
        ${this.bin.map(
          (entry) => html`<li>
            <span>${entry.name}, deleted ${new Date(entry.deleted).toLocaleString()}</span>
            <button aria-label=${`Bring ${entry.name} back`} @click=${() => this.#bringBack(entry)}>Bring it back</button>
          </li>`,
        )}
      </ul>
    `;
  }

  #renamePart(notebook: OpenNotebook) {
    return html`<form
      @submit=${(event: SubmitEvent) => {
        event.preventDefault();
        void this.#rename(notebook, this.renderRoot.querySelector<HTMLInputElement>("#name")?.value ?? "");
      }}
    >
      <label for="name">Name of the file (letters, digits, spaces, - and _)</label>
      <div class="row">
        <input id="name" class="box" maxlength="80" autocomplete="off" .value=${notebook.name} />
        <button>Rename it</button>
      </div>
    </form>`;
  }

  #deletePart(notebook: OpenNotebook) {
    return html`<p>
        Delete “${notebook.store.document.title}”? It goes to the bin with its earlier states and can be brought back.
      </p>
      <div class="row">
        <button @click=${() => this.#delete(notebook)}>Move it to the bin</button>
        <button @click=${() => (this.section = undefined)}>Keep it</button>
      </div>`;
  }

  #lost(edits: LeftEdits) {
    return html`<div class="row lost">
      <span>This browser keeps unsaved changes of “${edits.document.title}”, whose file “${edits.key.name}” is gone.</span>
      <button @click=${() => this.#saveLost(edits)}>Save them as a notebook</button>
      <button @click=${() => this.#try(() => edits.forget())}>Forget them</button>
    </div>`;
  }

  #open(name: string, renamed = false): void {
    this.dispatchEvent(new CustomEvent("bole-open", { detail: { name, renamed } }));
  }

  #create(document: NotebookDocument): Promise<void> {
    return this.#try(async () => this.#open((await service.create(document)).name));
  }

  #copy({ store: { document } }: OpenNotebook): void {
    void this.#create({ ...document, title: `${document.title} (copy)`.slice(0, 200) });
  }

  #import({ name, text }: { name: string; text: string }): void {
    try {
      void this.#create(parseNotebook(notebookInPage(text) ?? text));
    } catch (error) {
      this.trouble = `${name}: ${messageOf(error)}`;
    }
  }

  #rename(notebook: OpenNotebook, to: string): Promise<void> {
    return this.#try(async () => this.#open(await notebook.rename(to.trim()), true));
  }

  #delete(notebook: OpenNotebook): Promise<void> {
    return this.#try(async () => {
      await notebook.flush();
      await service.remove(notebook.name);
      await notebook.discard();
      this.dispatchEvent(new CustomEvent("bole-gone"));
    });
  }

  #bringBack({ id }: BinEntry): Promise<void> {
    return this.#try(async () => this.#open((await service.restoreFromBin(id)).name));
  }

  #saveLost(edits: LeftEdits): Promise<void> {
    return this.#try(async () => {
      const { name } = await service.create(edits.document);
      await edits.forget();
      this.#open(name);
    });
  }

  #try(work: () => Promise<void>): Promise<void> {
    return this.attempt(async () => {
      await work();
      await this.#load();
    });
  }

  static override styles = [
    Panel.styles,
    css`
      nav {
        background: var(--bole-paper);
        border-bottom: 1px solid var(--bole-hairline);
        padding: 12px 16px;
        display: grid;
        gap: 12px;
      }
      .lost span {
        flex: 1 1 16rem;
        overflow-wrap: anywhere;
      }
      [aria-expanded="true"] {
        border-width: 3px;
      }
      section,
      .lost {
        padding: 12px 14px;
        border: 1.5px solid var(--bole-line);
        border-radius: var(--bole-radius);
        background: var(--bole-sheet);
      }
      .box {
        flex: 1 1 16rem;
        max-inline-size: 36rem;
        padding: 0 0.7rem;
      }
      button {
        max-inline-size: 100%;
        overflow-wrap: anywhere;
      }
    `,
  ];
}
