// long because all that stands around the cells meets here: opening, bars, what is in sight, adding and finding a cell.
import { html, LitElement, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { repeat } from "lit/directives/repeat.js";
import { growingRegistry, needsApart } from "../../cells/registry.ts";
import type { KeepRequest, SetRequest } from "../controls/cellView.ts";
import type { HabitRequest } from "../controls/habitChooser.ts";
import type { RunRequest } from "../controls/longReading.ts";
import type { NotebookCell } from "../document/notebook.ts";
import { viewOf } from "../document/view.ts";
import type { Apart } from "../graph/apart.ts";
import type { CellKind } from "../graph/defineCell.ts";
import { loadAfter } from "../graph/loadedLater.ts";
import { messageOf } from "../graph/messageOf.ts";
import { ledger } from "../ledger/atHand.ts";
import type { Coverage } from "../ports/coverage.ts";
import type { RunTask } from "../tasks/longTask.ts";
import type { CellFrame } from "./cellFrame.ts";
import "./cellFrame.ts";
import type { ColourRequest, ColourShelf } from "../controls/colourAtHand.ts";
import type { LibraryHabits } from "./habitShelf.ts";
import { keptWidth } from "./keptWidth.ts";
import { library } from "./libraryIndex.ts";
import { relationOf } from "./links.ts";
import type { NotebookStore } from "./notebookStore.ts";
import { openJournals } from "./offlineJournal.ts";
import { OpenNotebook } from "./openNotebook.ts";
import "./saverBar.ts";
import { service } from "./service.ts";
import { listenToServer } from "./serviceEvents.ts";
import { ShortcutKeys } from "./shortcuts.ts";
import { browserTabs } from "./tabs.ts";
import { fitTitles, leaveOnEnter, oneLine } from "./titleField.ts";
import { UndoKeys } from "./undoKeys.ts";
import { firstView, isSmall } from "./viewTurns.ts";
import { inOrder, workbenchStyles } from "./workbenchStyles.ts";

ledger.serve({ read: service.ledger, change: service.changeLedger });

const kinds = growingRegistry();
const runTask: RunTask = async (task, args, options) =>
  (await import("../workers/pool.ts")).runTask(task, args, options);
const apart: Apart = {
  needs: needsApart,
  compute: async (job, signal) => (await import("./kindPool.ts")).computeApart(job, signal),
};
const longestOpeningMs = 1500;

interface Named {
  readonly name: string;
  readonly renamed?: boolean;
}

interface Message {
  readonly text: string;
  readonly wayOut?: string;
}

loadAfter(firstView);

/** Between these widths what is in sight is a pane over the cells, below them a drawer at the foot. */
const paneWidth = matchMedia("(min-width: 600px) and (max-width: 1099px)");
const drawerWidth = matchMedia("(max-width: 599px)");

/** The last coverage cell, whose panels stay in sight. */
const coverageOf = ({ document: { cells } }: NotebookStore) =>
  cells.findLast(({ kind }) => kind === "coverage");
/** How many panels a coverage cell will show, with the place of the press that makes them larger. */
function panelsOf({ inputs: { parts, target, basecoat } }: NotebookCell): number {
  return (target ? 2 : 1) + [parts ?? []].flat().length * (basecoat ? 2 : 1);
}

/** The whole workbench: the open notebook, its panels, and what is around it. */
@customElement("bole-workbench")
export class Workbench extends LitElement {
  @state() private store: NotebookStore | undefined;
  @state() private trouble: Message | undefined;
  @state() private message: Message | undefined;
  @state() private menuOpen = false;
  @state() private listOpen = false;
  /** Cell that is pointed at: those it takes from and gives to are marked. */
  @state() private pointed = "";
  /** The pane or drawer of what is in sight is shrunk to one bar. */
  @state() private shrunk = false;
  @state() private addingAt: number | undefined;
  @state() private merging = false;
  @state() private opening = false;
  #open: OpenNotebook | undefined;
  /** Name of the notebook that is to be open. */
  #wanted = "";
  readonly #tabs = browserTabs();
  #shelf: Promise<LibraryHabits> | undefined;
  readonly #habits = () => {
    this.#shelf ??= import("./habitShelf.ts").then(
      ({ LibraryHabits }) => new LibraryHabits(library, service, () => this.store?.document.cells ?? []),
    );
    return this.#shelf;
  };
  #known: Promise<ColourShelf> | undefined;
  readonly #colours = () => {
    this.#known ??= import("./colourShelf.ts").then(
      ({ ColoursAtHand }) =>
        new ColoursAtHand(
          () => this.store,
          library,
          runTask,
          async () => {
            await kinds.need(["photo"]);
            this.#add(kinds.registry.get("photo")!, this.store!.document.cells.length);
          },
        ),
    );
    return this.#known;
  };
  readonly #jobChanged = () => void this.#shelf?.then((habits) => habits.jobChanged());
  readonly #keys = new UndoKeys(this, {
    undo: () => this.renderRoot.querySelector("bole-save-bar")?.undo(),
    redo: () => this.renderRoot.querySelector("bole-save-bar")?.redo(),
  });
  readonly #help = async (formula?: string) => {
    await import("./helpSheet.ts");
    await this.renderRoot.querySelector("bole-help")?.show(formula);
  };
  #nextLook: number | undefined;
  #messageTimer: ReturnType<typeof setTimeout> | undefined;
  /** What stands over the cells leaves its height free when one is brought into sight. */
  readonly #resize = new ResizeObserver(() => {
    const height = (selector: string) => this.renderRoot.querySelector(selector)?.getBoundingClientRect();
    const bar = height(".bar")?.height || (height(".top")?.height ?? 0);
    const side = height(".side")?.height ?? 0;
    const [isPane, isDrawer] = [paneWidth.matches, drawerWidth.matches];
    const { style } = document.documentElement;
    style.setProperty("--bole-bar", `${bar}px`);
    style.setProperty("--bole-dock", isDrawer ? `${side}px` : "0px");
    style.scrollPaddingTop = `${Math.ceil(bar + (isPane ? side : 0)) + 12}px`;
    style.scrollPaddingBottom = `${Math.ceil(isDrawer ? side : 0) + 12}px`;
  });

  constructor() {
    super();
    this.addController(
      new ShortcutKeys(this, { help: () => this.#help(), move: (id, by) => this.store?.move(id, by) }),
    );
    const on = <Asked>(type: string, run: (asked: Asked) => void) =>
      this.addEventListener(type, (event) => run((event as CustomEvent<Asked>).detail));
    on<SetRequest>("bole-set", ({ id, patch, live, also = [] }) =>
      this.store?.setTogether([{ id, patch }, ...also], live),
    );
    on<{ id: string; action: string }>("bole-act", ({ id, action }) => void this.store?.act(id, action));
    on<KeepRequest>("bole-keep", (kept) => this.store?.toggleSight(kept));
    on<{ id: string }>("bole-point", ({ id }) => (this.pointed = id));
    on<{ id: string }>("bole-go", ({ id }) => this.#go(id));
    on<RunRequest>("bole-run", (request) => request.runBy(runTask));
    on<HabitRequest>("bole-habits", (request) => void this.#habits().then((habits) => request.use(habits)));
    on<ColourRequest>(
      "bole-colours",
      (request) => void this.#colours().then((colours) => request.use(colours)),
    );
    on<{ id: string }>("bole-formula", ({ id }) => void this.#help(id));
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.#widen(keptWidth());
    void this.#openNamed(new URLSearchParams(location.search).get("notebook") ?? "");
    addEventListener("pagehide", this.#leave);
    addEventListener("popstate", this.#addressChanged);
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
        apart,
        service,
        journals: await openJournals(),
        tabs: this.#tabs,
        listen: listenToServer,
        onLibrary: () => void library.refresh(),
        onLedger: () => ledger.changedElsewhere(),
      });
      if (this.#wanted !== name) return open.end();
      const { store } = open;
      open.addEventListener("kept-both", (event) =>
        this.#switchTo((event as CustomEvent<Named>).detail.name),
      );
      store.addEventListener("outcomes", () => this.#showOutcomes(store));
      store.addEventListener("document", () => {
        this.#jobChanged();
        this.#keys.taken();
        this.requestUpdate();
      });
      store.addEventListener("message", (event) => this.#tell((event as CustomEvent<Message>).detail));
      this.#open = open;
      this.store = store;
      this.#jobChanged();
      this.opening = store.document.cells.length > 0;
      // Its room is kept, so that nothing moves when it is there.
      void (this.opening ? firstView : Promise.resolve()).then(() => import("./bench.ts"));
      setTimeout(() => {
        if (this.store === store) this.opening = false;
        // The rest of the kinds, for the list of what can be added, once this notebook is on screen.
        void kinds.need().then(() => this.requestUpdate());
      }, longestOpeningMs);
      globalThis.document.title = `${store.document.title} – Bole`;
    } catch (error) {
      void import("./notebookMenu.ts");
      this.trouble = { text: messageOf(error) };
    }
  }

  /** Results of hundreds of cells come one by one while they are computed: shown together, frame by frame. */
  #showOutcomes(store: NotebookStore): void {
    if (isSmall(store.document.cells.length) || globalThis.document.hidden) {
      this.requestUpdate();
      return;
    }
    this.#nextLook ??= requestAnimationFrame(() => {
      this.#nextLook = undefined;
      this.requestUpdate();
    });
  }

  #tell(message: Message): void {
    this.message = message;
    clearTimeout(this.#messageTimer);
    this.#messageTimer = setTimeout(() => (this.message = undefined), 12_000);
  }

  #go(id: string): void {
    this.addingAt = undefined;
    if (this.store?.isFolded(id)) this.store.show(id);
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
    const folded = new Set(viewOf(document).folded);
    const hasSide = coverageOf(store) !== undefined || store.sight.length > 0;
    return html`
      ${this.#head(store, open)}
      <div class=${hasSide ? "bench beside" : "bench"}>
      ${hasSide ? this.#side(store) : nothing}
      ${this.merging ? html`<bole-merge .open=${open} @bole-close=${() => (this.merging = false)}></bole-merge>` : nothing}
      <main class=${this.opening ? "filling" : ""} @bole-filled=${this.#filled}>
        <h1 class="unseen">${document.title}</h1>
        ${this.#adder(0, store)}
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
              .cover=${store.coverOf(cell.id)}
              .sight=${document.view?.sight}
              .units=${store.units}
              .relation=${relationOf(store, this.pointed, cell.id)}
              @pointerenter=${() => (this.pointed = cell.id)}
              @pointerleave=${() => (this.pointed = "")}
              ?folded=${folded.has(cell.id)}
              ?first=${index === 0}
              ?last=${index === document.cells.length - 1}
            ></bole-cell>
            ${this.#adder(index + 1, store)}
          `,
        )}
        ${document.cells.length === 0 ? html`<bole-next-step .store=${store} .moment=${{}}></bole-next-step>` : nothing}
        <p class="honest">
          Panels on a screen are a guide: do not judge the final match on a screen. Follow the label and the safety data
          sheet of every product, your local rules, and licensed practice; never coat air-bag covers or belts.
        </p>
      </main>
      </div>
      <bole-help></bole-help>
      ${this.message ? this.#toast(this.message) : nothing}
    `;
  }

  #head(store: NotebookStore, open: OpenNotebook) {
    return html`
      <header class="top">
        <div class="bar">
        <a class="mark" href="./" @click=${this.#home}>Bole</a>
        <bole-save-bar .open=${open} @bole-merge=${() => this.#merge()}></bole-save-bar>
        <div class="doors">
          <button aria-label="Cells" aria-expanded=${this.listOpen} @click=${this.#toggleList}>
            <span class="sign" aria-hidden="true">☰</span><span class="word" aria-hidden="true">Cells</span>
          </button>
          <button aria-label="Notebooks" aria-expanded=${this.menuOpen} @click=${this.#toggleMenu}>
            <span class="sign" aria-hidden="true">▤</span><span class="word" aria-hidden="true">Notebooks</span>
          </button>
          <button aria-label="Help" @click=${() => this.#help()}>
            <span class="sign" aria-hidden="true">?</span><span class="word" aria-hidden="true">Help</span>
          </button>
        </div>
        ${store.document.cells.length > 0 ? html`<bole-next-step .store=${store} .moment=${{}}></bole-next-step>` : nothing}
        </div>
        <p class="on-paper">${store.document.title}</p>
        <textarea
          class="title"
          rows="1"
          aria-label="Title of the notebook"
          maxlength="200"
          .value=${store.document.title}
          @keydown=${leaveOnEnter}
          @change=${(event: Event) => store.renameNotebook(oneLine(event))}
        ></textarea>
      </header>
      ${this.listOpen ? html`<bole-cells .store=${store} .moment=${{}} @bole-close=${() => (this.listOpen = false)}></bole-cells>` : nothing}
      ${
        this.menuOpen
          ? html`<bole-notebooks
              .notebook=${open}
              @bole-open=${(event: CustomEvent<Named>) => this.#switchTo(event.detail.name, event.detail.renamed)}
              @bole-gone=${() => this.#switchTo("", true)}
            ></bole-notebooks>`
          : nothing
      }
    `;
  }

  /** What stays in sight: the panels, and what a person keeps there. */
  #side(store: NotebookStore) {
    const cell = coverageOf(store);
    const coverage = cell && (store.graph.lastValue(cell.id) as Coverage | undefined);
    const { status } = cell ? store.graph.outcome(cell.id) : { status: "ok" };
    const covered = cell && store.coverOf(cell.id)?.title;
    const kept = store.sight;
    const names = kept.length > 0 ? "the panels and what is kept in sight" : "the panels";
    return html`<aside class=${this.shrunk ? "side shrunk" : "side"} aria-label="In sight">
      <bole-side-edge @bole-width=${(event: CustomEvent<number>) => this.#widen(event.detail)}></bole-side-edge>
      <button
        class="shrink"
        aria-expanded=${!this.shrunk}
        aria-label=${this.shrunk ? `Show ${names}` : `Shrink ${names}`}
        @click=${() => (this.shrunk = !this.shrunk)}
      >${this.shrunk && coverage && covered === undefined ? html`<bole-panels brief .coverage=${coverage}></bole-panels>` : nothing}<span aria-hidden="true">${this.shrunk ? "▴" : "▾"}</span></button>
      ${
        this.shrunk
          ? nothing
          : html`${
              cell && covered !== undefined
                ? html`<section class="covered" aria-label="Simulated panels">
                    The panels are covered until “${covered}” is answered.
                  </section>`
                : cell
                  ? html`<bole-panels
                    role="region"
                    aria-label="Simulated panels"
                    .coverage=${coverage}
                    .awaited=${status === "running" ? panelsOf(cell) : 0}
                    ?stale=${status === "error" || status === "blocked"}
                  ></bole-panels>`
                  : nothing
            }
            ${kept.length > 0 ? html`<bole-kept .store=${store} .moment=${{}}></bole-kept>` : nothing}`
      }
    </aside>`;
  }

  #widen(width: number | undefined): void {
    if (width) this.style.setProperty("--side", `${width}px`);
  }

  #toast({ text, wayOut }: Message) {
    return html`<div class="toast" role="alert">
      <p>${text}</p>
      ${wayOut ? html`<p>${wayOut}.</p>` : nothing}
      <button @click=${() => (this.message = undefined)}>Close</button>
    </div>`;
  }

  readonly #toggleList = async (): Promise<void> => {
    await import("./cellList.ts");
    this.listOpen = !this.listOpen;
  };

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

  /** Shows what can be added when all of it is there: a list that grows would move the kinds under the finger. */
  async #offerKinds(at: number): Promise<void> {
    await Promise.all([kinds.need(), import("./kindChooser.ts")]);
    this.addingAt = at;
  }

  #adder(at: number, store: NotebookStore) {
    if (this.addingAt !== at) {
      return html`<div class="adder">
        <button class="add" aria-label="Add a cell here" @click=${() => this.#offerKinds(at)}>+ Add a cell</button>
      </div>`;
    }
    return html`<bole-kinds
      .store=${store}
      @bole-kind=${(event: CustomEvent<CellKind>) => this.#add(event.detail, at)}
      @bole-close=${() => this.#closeKinds(at)}
    ></bole-kinds>`;
  }

  async #closeKinds(at: number): Promise<void> {
    this.addingAt = undefined;
    await this.updateComplete;
    this.renderRoot.querySelectorAll<HTMLElement>(".add")[at]?.focus();
  }

  protected override updated(): void {
    for (const part of this.renderRoot.querySelectorAll(".top, .bar, .side")) this.#resize.observe(part);
    void fitTitles(this.renderRoot);
  }

  static override styles = workbenchStyles;
}
