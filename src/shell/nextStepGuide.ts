import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { ask } from "../controls/emit.ts";
import { controlStyles, notPrinted, tokens } from "../controls/tokens.ts";
import type { CellKind } from "../graph/defineCell.ts";
import { messageOf } from "../graph/messageOf.ts";
import { type NextStep, nextStep, walkedThrough } from "./nextStep.ts";
import type { NotebookStore } from "./notebookStore.ts";
import { starter } from "./starters.ts";
import { keepWalk, walkAt } from "./walkMemory.ts";

/** The file that the page shows. */
const notebookName = () => new URLSearchParams(location.search).get("notebook") ?? "";

/**
 * Guides to the next needed cell. An empty notebook gets it in its middle; later it stays at the lower edge, so that nothing
 * jumps when it comes and goes.
 * Events: `bole-go` ({id}).
 */
@customElement("bole-next-step")
export class NextStepGuide extends LitElement {
  @property({ attribute: false }) store!: NotebookStore;
  /** Changes with everything that is computed, so that the guide looks again. */
  @property({ attribute: false }) moment: unknown;
  @state() private hiddenFor: NotebookStore | undefined;
  /** where the walk stands in the notebooks of this visit */
  @state() private standing: ReadonlyMap<NotebookStore, string> = new Map();

  protected override render() {
    const { store } = this;
    if (this.hiddenFor === store) return nothing;
    const { document, graph, registry } = store;
    const step = nextStep(document, registry, (id) => graph.outcome(id), this.#here());
    if (!step) return nothing;
    const empty = document.cells.length === 0;
    return html`<section aria-label="Next step" class=${empty ? "empty" : "bar"}>
      ${empty ? html`<h2>This notebook is empty</h2>` : nothing}
      ${this.#step(step, empty)}
      ${empty ? nothing : html`<button class="plain" aria-label="Hide the guide" @click=${() => (this.hiddenFor = store)}><span class="long">Hide the guide</span><span class="cross">×</span></button>`}
    </section>`;
  }

  #step(step: NextStep, empty: boolean) {
    switch (step.do) {
      case "add":
        return this.#add(step, empty);
      case "act":
        return this.#act(step);
      case "mend":
        return this.#mend(step);
      case "walk":
        return this.#walk(step);
    }
  }

  #add({ stage, kind }: Extract<NextStep, { do: "add" }>, empty: boolean) {
    const name = stage.title ?? kind.label;
    return html`
      <p>${empty ? html`<strong>Next: ${name}.</strong> ${kind.about}` : html`<strong>Next: ${name}</strong><span class="why">, ${stage.why}</span>`}</p>
      <button @click=${() => this.#put(kind, name, stage.cell)}>Add ${name}</button>
    `;
  }

  /** Adds a cell that begins as in the starter of a whole job. */
  async #put(kind: CellKind, title: string, start: string): Promise<void> {
    const { store } = this;
    try {
      const { cells } = await starter("job");
      const parameters = cells.find(({ id }) => id === start)?.parameters;
      const id = store.add(kind, store.document.cells.length, { title, parameters });
      if (id) this.#goOn(id);
    } catch (error) {
      store.tell(messageOf(error));
    }
  }

  #act({ id, title, action, label, why }: Extract<NextStep, { do: "act" }>) {
    return html`
      <p><strong>Next: ${label}</strong>, ${why}.</p>
      <button ?disabled=${this.store.actions.has(id)} @click=${() => ask(this, "bole-act", { id, action })}>${label}</button>
      <button class="plain" @click=${() => ask(this, "bole-go", { id })}>Go to “${title}”</button>
    `;
  }

  #mend({ id, title, message }: Extract<NextStep, { do: "mend" }>) {
    return html`
      <p><strong>Next: “${title}” needs you.</strong> <span class="why">${message.replace(/\.$/, "")}.</span></p>
      <button @click=${() => ask(this, "bole-go", { id })}>Go to “${title}”</button>
    `;
  }

  #walk({ id, title, todo, offer, next }: Extract<NextStep, { do: "walk" }>) {
    return html`
      <p><strong>${title}.</strong> ${todo}.</p>
      ${offer ? html`<button ?disabled=${this.store.actions.has(id)} @click=${() => ask(this, "bole-act", { id, action: offer.action })}>${offer.label}</button>` : nothing}
      ${
        next
          ? html`<button @click=${() => this.#goOn(next.id)}>Next: ${next.title}</button>`
          : html`<button @click=${() => this.#stand(walkedThrough)}>Done</button>`
      }
    `;
  }

  #goOn(id: string): void {
    this.#stand(id);
    this.store.foldSettled();
    ask(this, "bole-go", { id });
  }

  /** Where the walk through this notebook stands; this device remembers it. */
  #here(): string | undefined {
    const here = this.standing.get(this.store);
    return here ?? walkAt(notebookName());
  }

  #stand(here: string): void {
    this.standing = new Map(this.standing).set(this.store, here);
    keepWalk(notebookName(), here);
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    css`
      section {
        background: var(--bole-paper);
        border: 1px solid var(--bole-line);
        border-radius: 6px;
        padding: 10px 16px;
      }
      .bar {
        display: flex;
        gap: 0 10px;
        align-items: center;
        border: none;
        border-block-start: 1px solid var(--bole-hairline);
        border-radius: 0;
        padding: 2px 16px;
      }
      .bar p {
        flex: 1;
        margin: 0;
        overflow-wrap: anywhere;
      }
      .bar button {
        min-block-size: 44px;
      }
      .cross {
        display: none;
      }
      /* One line: what is next, and the press that does it. */
      @media (max-width: 599px) {
        .bar {
          padding: 0 10px;
        }
        .bar .why,
        .bar .long {
          display: none;
        }
        .cross {
          display: inline;
        }
      }
      .empty {
        border-radius: 6px;
        padding: 20px 24px;
        font-size: 1.1rem;
      }
      h2 {
        margin: 0;
        font-size: 1.3rem;
      }
    `,
  ];
}
