import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { messageOf } from "../graph/messageOf.ts";
import { lightOptions } from "../tables/illuminants.ts";
import type { ReadingHabit } from "../tables/readingHabit.ts";
import { emit } from "./emit.ts";
import "./index.ts";
import { notPrinted } from "./tokens.ts";
import { viewStyles } from "./viewStyles.ts";

/** Where reading habits are kept, as its surroundings hand it to a control (`bole-habits`). Events: `change`. */
export interface HabitShelf extends EventTarget {
  /** undefined while they have not been read yet */
  readonly habits: readonly ReadingHabit[] | undefined;
  /** name of the habit of this job; "" where it has none yet */
  readonly usual: string;
  keep(habit: ReadingHabit): Promise<void>;
}

/** A control asks for the habits; it may be answered later. */
export interface HabitRequest {
  use(shelf: HabitShelf): void;
}

const none = "";
const observers = [
  { value: none, label: "as each reading says" },
  { value: "1964-10", label: "10°" },
  { value: "1931-2", label: "2°" },
];
const surfaces = [
  { value: "included", label: "included (sphere, SCI)" },
  { value: "excluded", label: "excluded (45/0 or SCE)" },
  { value: "unknown", label: "I don't know" },
];

/**
 * The instrument that a colour was read with, chosen by name; a new one is asked once for light, observer, surface
 * reflection and spread. Without a place where habits are kept nothing is shown.
 *
 * @fires habit - CustomEvent<ReadingHabit | undefined>
 */
@customElement("bole-habit-chooser")
export class HabitChooser extends LitElement {
  /** name of the chosen habit; undefined: that of the job, or the only one there is */
  @property({ attribute: false }) chosen: string | undefined;
  @state() private shelf: HabitShelf | undefined;
  @state() private draft: ReadingHabit = { name: "", specular: "included" };
  @state() private trouble = "";
  readonly #follow = () => {
    this.requestUpdate();
    emit(this, "habit", this.habit);
  };

  override connectedCallback(): void {
    super.connectedCallback();
    const detail: HabitRequest = { use: (shelf) => this.#use(shelf) };
    this.dispatchEvent(new CustomEvent("bole-habits", { detail, bubbles: true, composed: true }));
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.shelf?.removeEventListener("change", this.#follow);
    this.shelf = undefined;
  }

  #use(shelf: HabitShelf): void {
    if (!this.isConnected || this.shelf) return;
    this.shelf = shelf;
    shelf.addEventListener("change", this.#follow);
    if (this.habit) emit(this, "habit", this.habit);
  }

  /** The habit that counts now. */
  get habit(): ReadingHabit | undefined {
    const habits = this.shelf?.habits ?? [];
    const { usual } = this.shelf ?? { usual: none };
    const name = this.chosen ?? (usual || (habits.length === 1 ? habits[0].name : none));
    return habits.find((habit) => habit.name === name);
  }

  protected override render() {
    if (!this.shelf) return nothing;
    const habits = this.shelf.habits ?? [];
    const { habit } = this;
    return html`
      ${
        habits.length > 0
          ? html`<bole-choice
                label="Read with"
                .options=${[{ value: none, label: "nothing named here: as the reading says" }, ...habits.map(({ name }) => ({ value: name, label: name }))]}
                .value=${habit?.name ?? none}
                @change=${(event: CustomEvent<{ value: string }>) => this.#choose(event.detail.value)}
              ></bole-choice>
              ${habit ? html`<p class="soft">What a reading does not say itself: ${habitWords(habit)}.</p>` : nothing}`
          : nothing
      }
      <details>
        <summary>${habits.length > 0 ? "Another instrument" : "Name the instrument: asked once, then chosen by name"}</summary>
        ${this.#form()}
      </details>
    `;
  }

  #form() {
    const { draft } = this;
    const set = (patch: Partial<ReadingHabit>) => (this.draft = { ...draft, ...patch });
    type Value<T> = CustomEvent<{ value: T }>;
    return html`<div class="fields">
        <bole-text
          label="Name of the instrument" .maxLength=${60} .value=${draft.name}
          @input=${(event: Value<string>) => set({ name: event.detail.value })}
        ></bole-text>
        <bole-choice
          label="Its light" .options=${[{ value: none, label: "as each reading says" }, ...lightOptions]} .value=${draft.illuminant ?? none}
          @change=${(event: Value<string>) => set({ illuminant: (event.detail.value || undefined) as ReadingHabit["illuminant"] })}
        ></bole-choice>
        <bole-choice
          label="Its observer" .options=${observers} .value=${draft.observer ?? none}
          @change=${(event: Value<string>) => set({ observer: (event.detail.value || undefined) as ReadingHabit["observer"] })}
        ></bole-choice>
        <bole-choice
          label="Its surface reflection" .options=${surfaces} .value=${draft.specular}
          @change=${(event: Value<ReadingHabit["specular"]>) => set({ specular: event.detail.value })}
        ></bole-choice>
        <bole-number
          label="Readings of one spot differ by" unit="ΔE00" .min=${0} .max=${10} .step=${0.1} .digits=${2} .value=${draft.spread ?? 0.3}
          @change=${(event: Value<number>) => set({ spread: event.detail.value })}
        ></bole-number>
      </div>
      ${draft.specular === "unknown" ? html`<p class="soft">The colour itself may tell: a reading below L* 24 leaves the surface out. What was taken is said in each cell.</p>` : nothing}
      ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble}></bole-message>` : nothing}
      <button type="button" ?disabled=${draft.name.trim() === ""} @click=${() => void this.#keep()}>Keep it in the library</button>`;
  }

  /** Keeps what was learnt about the instrument; trouble is shown here. */
  async keep(habit: ReadingHabit): Promise<void> {
    this.trouble = "";
    try {
      await this.shelf!.keep(habit);
      this.#choose(habit.name);
    } catch (error) {
      this.trouble = `It was not kept: ${messageOf(error)}`;
    }
  }

  #choose(name: string): void {
    this.chosen = name;
    emit(this, "habit", this.habit);
  }

  async #keep(): Promise<void> {
    const name = this.draft.name.replace(/\s+/g, " ").trim();
    await this.keep({ spread: 0.3, ...this.draft, name });
    if (!this.trouble) this.draft = { name: "", specular: "included" };
  }

  static override styles = [
    ...viewStyles,
    notPrinted,
    css`
      :host {
        display: block;
      }
    `,
  ];
}

function habitWords({ illuminant, observer, specular, spread }: ReadingHabit): string {
  const light = lightOptions.find(({ value }) => value === illuminant)?.label;
  return [
    ...(light ? [light] : []),
    ...(observer ? [observer === "1931-2" ? "2° observer" : "10° observer"] : []),
    specular === "unknown" ? "surface reflection not known" : `surface reflection ${specular}`,
    ...(spread === undefined ? [] : [`readings of one spot within ΔE00 ${spread}`]),
  ].join(", ");
}
