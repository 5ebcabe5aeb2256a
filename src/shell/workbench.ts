import { css, html, LitElement, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { repeat } from "lit/directives/repeat.js";
import { registry } from "../../cells/registry.ts";
import type { SetRequest } from "../controls/cellView.ts";
import { controlStyles, tokens } from "../controls/tokens.ts";
import { emptyNotebook, parseNotebook } from "../document/notebook.ts";
import type { CellKind } from "../graph/defineCell.ts";
import type { Coverage } from "../ports/coverage.ts";
import { runTask } from "../workers/pool.ts";
import "./cellFrame.ts";
import "./notebookMenu.ts";
import { type DocumentChange, NotebookStore } from "./notebookStore.ts";
import "./panelStrip.ts";
import { Saver, type SaveState } from "./saver.ts";
import { service } from "./service.ts";

interface Message {
  readonly text: string;
  readonly wayOut?: string;
}

/** The whole workbench: the open notebook, its panels, and what is around it. */
@customElement("bole-workbench")
export class Workbench extends LitElement {
  @state() private store: NotebookStore | undefined;
  @state() private trouble: Message | undefined;
  @state() private message: Message | undefined;
  @state() private saveState: SaveState = { kind: "saved" };
  @state() private menuOpen = false;
  @state() private addingAt: number | undefined;
  #saver: Saver | undefined;
  #name = "";
  #messageTimer: ReturnType<typeof setTimeout> | undefined;
  #resize = new ResizeObserver(([entry]) => {
    document.documentElement.style.scrollPaddingTop = `${Math.ceil(entry.contentRect.height) + 12}px`;
  });

  override connectedCallback(): void {
    super.connectedCallback();
    void this.#openNamed(new URLSearchParams(location.search).get("notebook") ?? "");
    addEventListener("pagehide", this.#leave);
    addEventListener("popstate", this.#addressChanged);
    this.addEventListener("bole-set", this.#onSet as EventListener);
    this.addEventListener("bole-act", this.#onAct as EventListener);
    this.addEventListener("bole-go", this.#onGo as EventListener);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    removeEventListener("pagehide", this.#leave);
    removeEventListener("popstate", this.#addressChanged);
    this.store?.dispose();
  }

  #leave = () => void this.#saver?.flush();
  #addressChanged = () => void this.#openNamed(new URLSearchParams(location.search).get("notebook") ?? "");
  #onSet = (event: CustomEvent<SetRequest>) =>
    this.store?.set(event.detail.id, event.detail.patch, event.detail.live);
  #onAct = (event: CustomEvent<{ id: string; action: string }>) =>
    void this.store?.act(event.detail.id, event.detail.action);
  #onGo = (event: CustomEvent<{ id: string }>) => this.#go(event.detail.id);

  async #openNamed(name: string): Promise<void> {
    await this.#saver?.flush();
    this.trouble = undefined;
    try {
      const wanted = name || (await service.list())[0]?.name;
      if (!wanted) {
        const made = await service.create(emptyNotebook("First notebook"));
        return await this.#openNamed(made.name);
      }
      const stored = await service.open(wanted);
      const document = parseNotebook(stored.text);
      this.store?.dispose();
      this.#name = stored.name;
      const store = new NotebookStore(registry, document, runTask);
      this.#saver = new Saver(stored.name, stored.revision, () => {
        this.saveState = this.#saver?.state ?? { kind: "saved" };
      });
      store.addEventListener("outcomes", () => this.requestUpdate());
      store.addEventListener("document", (event) => {
        const { document } = (event as CustomEvent<DocumentChange>).detail;
        this.#saver?.want(document);
        this.requestUpdate();
      });
      store.addEventListener("message", (event) => this.#tell((event as CustomEvent<Message>).detail));
      this.store = store;
      this.saveState = { kind: "saved" };
      globalThis.document.title = `${document.title} – Bole`;
    } catch (error) {
      this.trouble = { text: (error as Error).message };
    }
  }

  #tell(message: Message): void {
    this.message = message;
    clearTimeout(this.#messageTimer);
    this.#messageTimer = setTimeout(() => (this.message = undefined), 12_000);
  }

  #go(id: string): void {
    this.addingAt = undefined;
    void this.updateComplete.then(() => {
      const frame = this.renderRoot.querySelector<HTMLElement>(`#cell-${id}`);
      frame?.scrollIntoView({
        behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth",
        block: "start",
      });
      frame?.focus({ preventScroll: true });
    });
  }

  #add(kind: CellKind, at: number): void {
    const id = this.store?.add(kind, at);
    if (id) this.#go(id);
  }

  protected override render() {
    const { store } = this;
    if (this.trouble) return this.#troublePage(this.trouble);
    if (!store) return html`<p class="opening" role="status">Opening the notebook…</p>`;
    const { document, graph } = store;
    const coverageCell = [...document.cells].reverse().find((cell) => cell.kind === "coverage");
    const coverage = coverageCell && (graph.lastValue(coverageCell.id) as Coverage | undefined);
    return html`
      <header class="top">
        <span class="mark">Bole</span>
        <input
          class="title"
          aria-label="Title of the notebook"
          maxlength="200"
          .value=${document.title}
          @change=${(event: Event) => store.renameNotebook((event.target as HTMLInputElement).value)}
        />
        <span class="saved" role="status">${saveWords(this.saveState)}</span>
        <button aria-expanded=${this.menuOpen} @click=${() => (this.menuOpen = !this.menuOpen)}>Notebooks</button>
      </header>
      ${
        this.menuOpen
          ? html`<bole-notebooks
              .open=${this.#name}
              .document=${document}
              @bole-open=${(event: CustomEvent<{ name: string }>) => this.#switchTo(event.detail.name)}
              @bole-tell=${(event: CustomEvent<Message>) => this.#tell(event.detail)}
            ></bole-notebooks>`
          : nothing
      }
      <bole-panels
        role="region"
        aria-label="Simulated panels"
        .coverage=${coverage}
        ?stale=${coverageCell !== undefined && ["error", "blocked"].includes(graph.outcome(coverageCell.id).status)}
      ></bole-panels>
      <main>
        <h1 class="unseen">${document.title}</h1>
        ${this.#adder(0)}
        ${repeat(
          document.cells,
          (cell) => cell.id,
          (cell, index) => html`
            <bole-cell
              id="cell-${cell.id}"
              tabindex="-1"
              .store=${store}
              .cell=${cell}
              .outcome=${graph.outcome(cell.id)}
              .action=${store.actions.get(cell.id)}
              ?first=${index === 0}
              ?last=${index === document.cells.length - 1}
            ></bole-cell>
            ${this.#adder(index + 1)}
          `,
        )}
        <p class="honest">
          Panels on a screen are a guide: do not judge the final match on a screen. Follow the label and the safety data
          sheet of every product, your local rules, and licensed practice; never coat air-bag covers or belts.
        </p>
      </main>
      ${
        this.message
          ? html`<div class="toast" role="alert">
              <p>${this.message.text}</p>
              ${this.message.wayOut ? html`<p>${this.message.wayOut}.</p>` : nothing}
              <button @click=${() => (this.message = undefined)}>Close</button>
            </div>`
          : nothing
      }
    `;
  }

  #switchTo(name: string): void {
    this.menuOpen = false;
    history.pushState(null, "", `?notebook=${encodeURIComponent(name)}`);
    void this.#openNamed(name);
  }

  #troublePage(trouble: Message) {
    return html`<div class="opening">
      <h1>This notebook could not be opened</h1>
      <p role="alert">${trouble.text}</p>
      <p>Your file is untouched.</p>
      <bole-notebooks
        .open=${""}
        @bole-open=${(event: CustomEvent<{ name: string }>) => this.#switchTo(event.detail.name)}
      ></bole-notebooks>
    </div>`;
  }

  #adder(at: number) {
    if (this.addingAt !== at) {
      return html`<div class="adder">
        <button class="add" aria-label="Add a cell here" @click=${() => (this.addingAt = at)}>+ Add a cell</button>
      </div>`;
    }
    return html`<div class="kinds" role="group" aria-label="Add a cell">
      ${[...registry.values()].map(
        (kind) => html`<button @click=${() => this.#add(kind, at)}>
          <strong>${kind.label}</strong><span>${kind.about}</span>
        </button>`,
      )}
      <button @click=${() => (this.addingAt = undefined)}><strong>Cancel</strong></button>
    </div>`;
  }

  protected override updated(): void {
    const strip = this.renderRoot.querySelector("bole-panels");
    if (strip) this.#resize.observe(strip);
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      .top {
        display: flex;
        gap: 12px;
        align-items: center;
        padding: 6px 16px;
        background: var(--bole-paper);
        border-bottom: 1px solid var(--bole-hairline);
      }
      .mark {
        font-weight: 700;
        font-size: 1.25rem;
      }
      .title {
        flex: 1;
        min-width: 0;
        min-height: 44px;
        font-size: 1.15rem;
        border: 1px solid transparent;
        background: transparent;
        padding: 0 6px;
        border-radius: 4px;
        text-overflow: ellipsis;
      }
      .title:hover {
        border-color: var(--bole-hairline);
      }
      .saved {
        color: var(--bole-ink-soft);
        white-space: nowrap;
      }
      bole-panels {
        position: sticky;
        top: 0;
        z-index: 5;
      }
      main {
        max-width: 1080px;
        margin: 0 auto;
        padding: 4px 16px 80px;
      }
      bole-cell:focus {
        outline: none;
      }
      bole-cell:focus-visible {
        outline: 3px solid var(--bole-focus);
      }
      .adder {
        text-align: center;
        margin: 2px 0;
      }
      .add {
        border-color: transparent;
        background: none;
        font-weight: 400;
        color: var(--bole-ink-soft);
      }
      .add:hover,
      .add:focus-visible {
        border-color: var(--bole-line);
      }
      .kinds {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 280px), 1fr));
        gap: 8px;
        margin: 12px 0;
      }
      .kinds button {
        text-align: start;
        padding: 10px 14px;
        font-weight: 400;
        display: flex;
        flex-direction: column;
        gap: 4px;
      }
      .opening {
        max-width: 720px;
        margin: 10vh auto;
        padding: 0 16px;
      }
      .honest {
        color: var(--bole-ink-soft);
        max-width: 75ch;
        margin: 24px auto 0;
      }
      .toast {
        position: fixed;
        inset: auto 16px 16px;
        margin: 0 auto;
        max-width: 640px;
        background: var(--bole-ink);
        color: var(--bole-paper);
        border-radius: 8px;
        padding: 10px 18px;
        z-index: 10;
        display: flex;
        flex-wrap: wrap;
        gap: 4px 14px;
        align-items: center;
      }
      .toast p {
        margin: 4px 0;
        flex: 1 1 60%;
      }
      .toast button {
        color: var(--bole-ink);
        margin-left: auto;
      }
      @media (max-width: 480px) {
        main {
          padding: 4px 0 80px;
        }
        .top {
          flex-wrap: wrap;
          padding: 6px 10px;
        }
        .saved {
          order: 3;
        }
      }
      @media print {
        .adder,
        .top button,
        .toast {
          display: none;
        }
        bole-panels {
          position: static;
        }
      }
    `,
  ];
}

function saveWords(state: SaveState): string {
  switch (state.kind) {
    case "saved":
      return "✓ Saved";
    case "waiting":
    case "saving":
      return "Saving…";
    case "away":
      return "Not saved: the server is away, trying again";
    case "conflict":
      return "Not saved: changed elsewhere meanwhile";
  }
}
