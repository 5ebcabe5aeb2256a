import { css, html, LitElement, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { repeat } from "lit/directives/repeat.js";
import { growingRegistry } from "../../cells/registry.ts";
import type { SetRequest } from "../controls/cellView.ts";
import type { RunRequest } from "../controls/longReading.ts";
import { controlStyles, tokens } from "../controls/tokens.ts";
import type { CellKind } from "../graph/defineCell.ts";
import type { TaskRunner } from "../graph/notebookGraph.ts";
import type { Coverage } from "../ports/coverage.ts";
import type { CellFrame } from "./cellFrame.ts";
import "./cellFrame.ts";
import { library } from "./libraryIndex.ts";
import "./nextStepGuide.ts";
import type { NotebookStore } from "./notebookStore.ts";
import { openJournals } from "./offlineJournal.ts";
import { OpenNotebook } from "./openNotebook.ts";
import "./panelStrip.ts";
import "./saverBar.ts";
import { service } from "./service.ts";
import { listenToServer } from "./serviceEvents.ts";
import { ShortcutKeys } from "./shortcuts.ts";
import { browserTabs } from "./tabs.ts";
import { leaveOnEnter, oneLine } from "./titleField.ts";
import { UndoKeys } from "./undoKeys.ts";

const kinds = growingRegistry();
const runTask: TaskRunner = async (task, args, options) =>
  (await import("../workers/pool.ts")).runTask(task, args, options);
/** A control has something long to do. */
const onRun = ({ detail }: CustomEvent<RunRequest>): void => {
  const { task, args, signal, onProgress } = detail;
  detail.answer = runTask(task, args, { signal, onProgress });
};
/** While a notebook opens, what is below the first cells shows when they are in place: nothing is pushed about. */
const inOrder = 12;
const longestOpeningMs = 1500;

interface Named {
  readonly name: string;
  readonly renamed?: boolean;
}

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
  @state() private menuOpen = false;
  @state() private addingAt: number | undefined;
  @state() private merging = false;
  @state() private opening = false;
  #open: OpenNotebook | undefined;
  /** Name of the notebook that is to be open. */
  #wanted = "";
  readonly #tabs = browserTabs();
  readonly #keys = new UndoKeys(this, {
    undo: () => this.renderRoot.querySelector("bole-save-bar")?.undo(),
    redo: () => this.renderRoot.querySelector("bole-save-bar")?.redo(),
  });
  readonly #help = async (formula?: string) => {
    await import("./helpSheet.ts");
    await this.renderRoot.querySelector("bole-help")?.show(formula);
  };
  #messageTimer: ReturnType<typeof setTimeout> | undefined;
  #resize = new ResizeObserver(([entry]) => {
    document.documentElement.style.scrollPaddingTop = `${Math.ceil(entry.contentRect.height) + 12}px`;
  });

  constructor() {
    super();
    this.addController(
      new ShortcutKeys(this, { help: () => this.#help(), move: (id, by) => this.store?.move(id, by) }),
    );
  }

  override connectedCallback(): void {
    super.connectedCallback();
    void this.#openNamed(new URLSearchParams(location.search).get("notebook") ?? "");
    addEventListener("pagehide", this.#leave);
    addEventListener("popstate", this.#addressChanged);
    this.addEventListener("bole-set", this.#onSet as EventListener);
    this.addEventListener("bole-act", this.#onAct as EventListener);
    this.addEventListener("bole-run", onRun as EventListener);
    this.addEventListener("bole-go", this.#onGo as EventListener);
    this.addEventListener("bole-formula", this.#onFormula as EventListener);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    removeEventListener("pagehide", this.#leave);
    removeEventListener("popstate", this.#addressChanged);
    this.#open?.end();
  }

  #leave = () => {
    // What was typed and not taken yet is taken now.
    let active = document.activeElement;
    while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement;
    (active as HTMLElement | null)?.blur();
    void this.#open?.flush(true);
  };
  #addressChanged = () => void this.#openNamed(new URLSearchParams(location.search).get("notebook") ?? "");
  #onSet = ({ detail: { id, patch, live, also = [] } }: CustomEvent<SetRequest>) =>
    this.store?.setTogether([{ id, patch }, ...also], live);
  #onAct = (event: CustomEvent<{ id: string; action: string }>) =>
    void this.store?.act(event.detail.id, event.detail.action);
  #onFormula = (event: CustomEvent<{ id: string }>) => void this.#help(event.detail.id);
  #onGo = (event: CustomEvent<{ id: string }>) => this.#go(event.detail.id);

  async #openNamed(name: string): Promise<void> {
    this.#wanted = name;
    await this.#open?.flush();
    this.trouble = undefined;
    this.merging = false;
    if (this.#wanted !== name) return; // another one was asked for meanwhile
    this.#open?.end();
    this.#open = undefined;
    // Nothing can be changed any more in a notebook that is being left.
    this.store = undefined;
    if (!name) {
      this.menuOpen = false;
      globalThis.document.title = "Bole";
      void import("./openingPage.ts");
      this.requestUpdate();
      return;
    }
    try {
      const open = await OpenNotebook.open(name, {
        registry: kinds.registry,
        need: kinds.need,
        run: runTask,
        service,
        journals: await openJournals(),
        tabs: this.#tabs,
        listen: listenToServer,
        onLibrary: () => void library.refresh(),
      });
      if (this.#wanted !== name) return open.end();
      const { store } = open;
      open.addEventListener("kept-both", (event) =>
        this.#switchTo((event as CustomEvent<Named>).detail.name),
      );
      store.addEventListener("outcomes", () => this.requestUpdate());
      store.addEventListener("document", () => {
        this.#keys.taken();
        this.requestUpdate();
      });
      store.addEventListener("message", (event) => this.#tell((event as CustomEvent<Message>).detail));
      this.#open = open;
      this.store = store;
      this.opening = store.document.cells.length > 0;
      setTimeout(() => {
        if (this.store === store) this.opening = false;
        // The rest of the kinds, for the list of what can be added, once this notebook is on screen.
        void kinds.need().then(() => this.requestUpdate());
      }, longestOpeningMs);
      globalThis.document.title = `${store.document.title} – Bole`;
    } catch (error) {
      void import("./notebookMenu.ts");
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
    const open = this.#open;
    if (this.trouble) return this.#troublePage(this.trouble);
    if (!this.#wanted) {
      return html`<bole-opening
          @bole-open=${(event: CustomEvent<Named>) => this.#switchTo(event.detail.name)}
          @bole-help=${() => this.#help()}
        ></bole-opening>
        <bole-help></bole-help>`;
    }
    if (!store || !open) return html`<p class="opening" role="status">Opening the notebook…</p>`;
    const { document, graph } = store;
    const coverageCell = [...document.cells].reverse().find((cell) => cell.kind === "coverage");
    const coverage = coverageCell && (graph.lastValue(coverageCell.id) as Coverage | undefined);
    return html`
      <header class="top">
        <a class="mark" href="./" @click=${this.#home}>Bole</a>
        <textarea
          class="title"
          rows="1"
          aria-label="Title of the notebook"
          maxlength="200"
          .value=${document.title}
          @keydown=${leaveOnEnter}
          @change=${(event: Event) => store.renameNotebook(oneLine(event))}
        ></textarea>
        <bole-save-bar .open=${open} @bole-merge=${() => this.#merge()}></bole-save-bar>
        <button aria-expanded=${this.menuOpen} @click=${this.#toggleMenu}>Notebooks</button>
        <button @click=${() => this.#help()}>Help</button>
      </header>
      ${
        this.menuOpen
          ? html`<bole-notebooks
              .notebook=${open}
              @bole-open=${(event: CustomEvent<Named>) => this.#switchTo(event.detail.name, event.detail.renamed)}
              @bole-gone=${() => this.#switchTo("", true)}
            ></bole-notebooks>`
          : nothing
      }
      ${this.merging ? html`<bole-merge .open=${open} @bole-close=${() => (this.merging = false)}></bole-merge>` : nothing}
      <bole-panels
        role="region"
        aria-label="Simulated panels"
        .coverage=${coverage}
        ?stale=${coverageCell !== undefined && ["error", "blocked"].includes(graph.outcome(coverageCell.id).status)}
      ></bole-panels>
      <main class=${this.opening ? "filling" : ""} @bole-filled=${this.#filled}>
        <h1 class="unseen">${document.title}</h1>
        ${this.#adder(0)}
        ${repeat(
          document.cells,
          (cell) => cell.id,
          (cell, index) => html`
            <bole-cell
              id="cell-${cell.id}"
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
        <bole-next-step .store=${store} .moment=${{}}></bole-next-step>
        <p class="honest">
          Panels on a screen are a guide: do not judge the final match on a screen. Follow the label and the safety data
          sheet of every product, your local rules, and licensed practice; never coat air-bag covers or belts.
        </p>
      </main>
      <bole-help></bole-help>
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

  readonly #toggleMenu = async (): Promise<void> => {
    await import("./notebookMenu.ts");
    this.menuOpen = !this.menuOpen;
  };

  /** To the opening page, unless the link is to open elsewhere. */
  readonly #home = (event: MouseEvent): void => {
    if (event.ctrlKey || event.metaKey || event.shiftKey || event.button !== 0) return;
    event.preventDefault();
    history.pushState(null, "", "./");
    void this.#openNamed("");
  };

  readonly #filled = (): void => {
    const cells = [...this.renderRoot.querySelectorAll<CellFrame>("bole-cell")].slice(0, inOrder);
    if (cells.every(({ filled }) => filled)) this.opening = false;
  };

  async #merge(): Promise<void> {
    await import("./mergeDialog.ts");
    this.merging = true;
  }

  /** @param instead the address before leads nowhere any more */
  #switchTo(name: string, instead = false): void {
    this.menuOpen = false;
    const address = name ? `?notebook=${encodeURIComponent(name)}` : "?";
    if (instead) history.replaceState(null, "", address);
    else history.pushState(null, "", address);
    void this.#openNamed(name);
  }

  #troublePage(trouble: Message) {
    return html`<div class="opening">
      <h1>This notebook could not be opened</h1>
      <p role="alert">${trouble.text}</p>
      <p>Your file is untouched.</p>
      <bole-notebooks
        .unreadable=${this.#wanted}
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
      ${[...kinds.registry.values()].map(
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
        color: inherit;
        text-decoration: none;
        min-block-size: 44px;
        min-inline-size: 48px;
        display: inline-flex;
        align-items: center;
      }
      .mark:hover {
        text-decoration: underline;
      }
      .title {
        flex: 1;
        min-width: 0;
        min-height: 44px;
        font-size: 1.15rem;
        line-height: 1.3;
        border: 1px solid transparent;
        background: transparent;
        padding: 8px 6px;
        border-radius: 4px;
        resize: none;
        field-sizing: content;
      }
      .title:hover {
        border-color: var(--bole-hairline);
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
      .filling bole-cell:not([filled]):nth-of-type(-n + ${inOrder}) ~ * {
        visibility: hidden;
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
        margin: 0 auto;
        padding: 10vh 16px;
      }
      .honest {
        color: var(--bole-ink-soft);
        max-width: 75ch;
        margin: 24px auto 0;
        padding: 0 12px;
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
      /* The title has a line of its own, so that it is not cut. */
      @media (max-width: 900px) {
        .top {
          flex-wrap: wrap;
        }
        .top .title {
          order: 1;
          flex-basis: 100%;
        }
        .top .mark {
          margin-inline-end: auto;
        }
      }
      @media (max-width: 480px) {
        main {
          padding: 4px 0 80px;
        }
        .top {
          padding: 6px 10px;
          gap: 6px 8px;
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
