import { css, html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { growingRegistry, needsApart } from "../../cells/registry.ts";
import { saveText } from "../controls/saveFile.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { Apart } from "../graph/apart.ts";
import { isAnswered, type Moves, movables, numbersOf, wholeNotebook } from "../handout/choice.ts";
import { makeHandout } from "../handout/handout.ts";
import { select } from "../handout/selection.ts";
import { readTemplate } from "../handout/template.ts";
import { withoutCosts } from "../handout/withoutCosts.ts";
import type { RunTask } from "../tasks/longTask.ts";
import { plural } from "../words/plural.ts";
import type { OpenNotebook } from "./openNotebook.ts";
import { Panel } from "./panel.ts";

/** What becomes of a cell. */
type Fate = "shown" | "behind" | "out";

/**
 * A notebook as one page that lives on its own: which cells are seen, which are left out, and what a reader may move.
 */
@customElement("bole-handout-panel")
export class HandoutPanel extends Panel {
  @property({ attribute: false }) notebook!: OpenNotebook;
  @state() private fates: Readonly<Record<string, Fate>> = {};
  @state() private moves: Readonly<Record<string, Moves>> = {};
  @state() private costs = true;
  /** Cells whose settings are chosen one by one. */
  @state() private chosen: ReadonlySet<string> = new Set();
  @state() private done = "";
  @state() private isBusy = false;

  override connectedCallback(): void {
    super.connectedCallback();
    const { store } = this.notebook;
    this.moves = wholeNotebook(store.document, store.registry).moves;
  }

  #fateOf({ id }: NotebookCell): Fate {
    return this.fates[id] ?? "shown";
  }

  get #choice() {
    const { cells } = this.notebook.store.document;
    const of = (fate: Fate) => cells.filter((cell) => this.#fateOf(cell) === fate).map(({ id }) => id);
    return { shown: of("shown"), leftOut: of("out"), moves: this.moves, costs: this.costs };
  }

  protected override render() {
    const { document } = this.notebook.store;
    const whole = this.costs ? document : withoutCosts(document);
    const { frozen } = select(whole, this.#choice);
    const notes = document.cells.filter(({ kind }) => kind === "note");
    return html`
      <h2>Save as a page</h2>
      <p>
        One file that lives on its own: cells compute, sliders move and lessons ask, on any computer or phone, with no network.
        What you leave out is not in the file; what works behind is, though it is not seen. Take the page in here again to get
        its notebook.
      </p>
      <div class="row">
        <label class="tick"><input type="checkbox" .checked=${!this.costs} @change=${(event: Event) => (this.costs = !(event.target as HTMLInputElement).checked)} /> Without quotes, prices and costs</label>
        ${notes.length > 0 ? html`<button @click=${() => this.#fate(notes, "out")}>Leave out the notes</button>` : nothing}
        <button @click=${() => (this.moves = {})}>Nothing may be moved</button>
      </div>
      <ol class="list">${whole.cells.map((cell) => this.#line(cell, frozen.includes(cell.id)))}</ol>
      ${this.troubleLine()}
      <div class="row">
        <button ?disabled=${this.isBusy} @click=${() => this.#save()}>Save the page</button>
        <span role="status">${this.done}</span>
      </div>
    `;
  }

  #fate(cells: readonly NotebookCell[], fate: Fate): void {
    this.fates = { ...this.fates, ...Object.fromEntries(cells.map(({ id }) => [id, fate])) };
  }

  #line(cell: NotebookCell, isFrozen: boolean) {
    const { id, title } = cell;
    const kind = this.notebook.store.registry.get(cell.kind);
    const fate = this.#fateOf(cell);
    const moves = this.moves[id] ?? [];
    const settings = kind ? movables(kind) : [];
    const numbers = kind ? numbersOf(kind) : [];
    const way = this.chosen.has(id)
      ? "chosen"
      : moves === "all"
        ? "all"
        : moves.length > 0
          ? "numbers"
          : "nothing";
    return html`<li>
      <span>${title}${isFrozen ? html` <em>stays as it is: it takes from what is left out</em>` : nothing}</span>
      <select aria-label=${`${title}: in the page`} @change=${(event: Event) => this.#fate([cell], (event.target as HTMLSelectElement).value as Fate)}>
        ${this.#options(
          [
            ["shown", "is seen"],
            ["behind", "works behind"],
            ["out", "is left out"],
          ],
          fate,
        )}
      </select>
      ${
        fate === "out" || isFrozen || !kind || cell.kind === "note" || isAnswered(kind)
          ? nothing
          : html`<select aria-label=${`${title}: may be moved`} @change=${(event: Event) => this.#move(cell, (event.target as HTMLSelectElement).value)}>
              ${this.#options(
                [
                  ["nothing", "nothing may be moved"],
                  ...(numbers !== "all" && numbers.length > 0
                    ? ([["numbers", "its numbers may be moved"]] as const)
                    : []),
                  ...(settings.length > 0 ? ([["chosen", "choose what may be moved"]] as const) : []),
                  ["all", "everything may be changed"],
                ],
                way,
              )}
            </select>`
      }
      ${
        this.chosen.has(id) && fate !== "out" && !isFrozen
          ? html`<fieldset><legend class="unseen">What may be moved in ${title}</legend>${settings.map(
              ({ name, label }) =>
                html`<label class="tick"><input type="checkbox" .checked=${moves === "all" || moves.includes(name)} @change=${(event: Event) => this.#tick(id, name, (event.target as HTMLInputElement).checked)} /> ${label}</label>`,
            )}</fieldset>`
          : nothing
      }
    </li>`;
  }

  #options(options: readonly (readonly [value: string, words: string])[], now: string) {
    return options.map(
      ([value, words]) => html`<option value=${value} .selected=${value === now}>${words}</option>`,
    );
  }

  #move({ id, kind }: NotebookCell, way: string): void {
    const of = this.notebook.store.registry.get(kind);
    const numbers = of ? numbersOf(of) : [];
    const moves = way === "all" ? "all" : way === "nothing" || numbers === "all" ? [] : numbers;
    this.moves = { ...this.moves, [id]: moves };
    const chosen = new Set(this.chosen);
    if (way === "chosen") chosen.add(id);
    else chosen.delete(id);
    this.chosen = chosen;
  }

  #tick(id: string, name: string, on: boolean): void {
    const before = this.moves[id] ?? [];
    const others = before === "all" ? [] : before.filter((one) => one !== name);
    this.moves = { ...this.moves, [id]: on ? [...others, name] : others };
  }

  async #save(): Promise<void> {
    this.done = "The page is being made…";
    this.isBusy = true;
    await this.attempt(async () => {
      const { store, name } = this.notebook;
      const kinds = growingRegistry();
      await kinds.need(new Set(store.document.cells.map(({ kind }) => kind)));
      const made = await makeHandout({
        document: store.document,
        registry: kinds.registry,
        template: await template(),
        choice: this.#choice,
        run,
        apart,
        moment: new Date().toLocaleDateString("en-GB", { dateStyle: "long" }),
      });
      saveText(`${name || "notebook"}.html`, made.page, "text/html");
      const size = (new Blob([made.page]).size / 1e6).toFixed(2);
      const frozen = made.frozen.length;
      this.done = `Saved: ${size} MB.${frozen > 0 ? ` ${plural(frozen, "cell stays", "cells stay")} as now.` : ""}`;
    }, "The page could not be saved: ");
    this.isBusy = false;
    if (this.trouble) this.done = "";
  }

  static override styles = [
    Panel.styles,
    css`
      .list {
        gap: 6px;
        max-block-size: 50vh;
        overflow: auto;
        margin-block: 12px;
      }
      .list > li {
        padding: 3px;
      }
      select {
        max-inline-size: 100%;
        padding: 0 0.5rem;
      }
      .tick {
        display: inline-flex;
        align-items: center;
        gap: 8px;
        min-block-size: 44px;
        margin: 0;
        font-weight: 400;
      }
      .tick input {
        inline-size: 22px;
        block-size: 22px;
        margin: 0;
        accent-color: var(--bole-ink);
      }
      fieldset {
        flex-basis: 100%;
        border: 0;
        margin: 0;
        padding: 0 0 6px 12px;
        display: flex;
        flex-wrap: wrap;
        gap: 0 20px;
      }
      em {
        color: var(--bole-ink-soft);
      }
    `,
  ];
}

const run: RunTask = async (task, args, options) =>
  (await import("../workers/pool.ts")).runTask(task, args, options);

const apart: Apart = {
  needs: needsApart,
  compute: async (job, signal) => (await import("./kindPool.ts")).computeApart(job, signal),
};

/** The program of saved pages, which the build puts beside this page. */
async function template() {
  const answer = await fetch("./handout.json");
  if (!answer.ok) throw new Error("The program for saved pages is missing. Build again with npm run build");
  return readTemplate(await answer.text());
}
