import { html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import "./boleFile.ts";
import { messageOf } from "../graph/messageOf.ts";
import type { ReadingAnswers } from "../tables/doubt.ts";
import { habitAfter, layoutSaid, type ReadingHabit, withHabit } from "../tables/readingHabit.ts";
import { plural } from "../words/plural.ts";
import { AskedDoubt } from "./askedDoubt.ts";
import type { ChoiceOption } from "./boleChoice.ts";
import type { ChosenColour } from "./colourAtHand.ts";
import { colourInputStyles } from "./colourInputStyles.ts";
import { emit } from "./emit.ts";
import type { HabitChooser } from "./habitChooser.ts";
import { LongReading, type NamedText, type TextReader } from "./longReading.ts";
import { LabText } from "./numbers.ts";
import { screenColour } from "./panelColour.ts";
import "./index.ts";
import { notPrinted } from "./tokens.ts";
import "./habitChooser.ts";
import "./colourAtHand.ts";
import {
  conditionsOf,
  type OfferedColour,
  type OfferedColours,
  type OfferedPreview,
  sparkline,
  type TakenColours,
} from "./offeredColours.ts";
import { type TakenTable, tableTaken } from "./tableTaken.ts";
import { UntilEdited } from "./untilEdited.ts";

export type { TakenColours } from "./offeredColours.ts";

/** Rows shown at once; more are found by a word of their name. */
const rowsShown = 60;
const findFrom = 13;
const observers = [
  { value: "1964-10", label: "10°" },
  { value: "1931-2", label: "2°" },
];
/** Readings that can be averaged. */
const most = 60;

/**
 * A place where measured or stated colours come in: a file dropped or chosen, or Lab typed or pasted. Says what is
 * wrong, shows what was found, and lets the person take one sample or several readings of one surface.
 *
 * @fires colours - CustomEvent<TakenColours>
 */
@customElement("bole-colour-input")
export class ColourInput extends LitElement {
  @property() label = "Measured colour";
  @property() hint =
    "Spectra or Lab: CSV (commas, semicolons or tabs), CGATS text, or CxF. Nothing leaves this machine.";
  /** what stays when something cannot be read */
  @property() stays = "What was there before stays.";
  @property() accept = ".csv,.txt,.tsv,.cgats,.it8,.cxf,.xml";
  /** reads a file; rejects with the words for the person */
  @property({ attribute: false }) reader!: TextReader<OfferedColours>;
  /** reads typed or pasted text */
  @property({ attribute: false }) readText?: (
    text: string,
    answers?: ReadingAnswers,
  ) => Promise<Omit<OfferedColours, "form">>;
  /** the box for typing stands open, where no colour is known yet */
  @property({ type: Boolean }) typing = false;
  @property({ attribute: false }) preview!: (colour: never) => OfferedPreview;
  /** lights to choose from where tristimulus values come without one */
  @property({ attribute: false }) lights: readonly ChoiceOption[] = [];
  @state() private offered: (OfferedColours & { from: string }) | undefined;
  @state() private chosen: ReadonlySet<number> = new Set();
  @state() private find = "";
  @state() private trouble = "";
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = ""));
  @state() private pasted = "";
  @state() private illuminant = "";
  @state() private observer = "";
  /** the file that was read last, and how it was taken apart */
  @state() private table: TakenTable | undefined;
  /** the newest file wins when an older one takes longer */
  #newest: NamedText | undefined;
  @state() private habit: ReadingHabit | undefined;
  @state() private learnt = "";
  readonly #long = new LongReading(this);
  readonly #doubt = new AskedDoubt(this);
  #reading: Promise<OfferedColours> | undefined;
  #previews = new Map<OfferedColour, OfferedPreview | string>();

  protected override render() {
    return html`
      <bole-file
        .label=${this.label}
        .accept=${this.accept}
        .maxBytes=${10_000_000}
        .hint=${this.hint}
        @file=${(event: CustomEvent<NamedText>) => this.#takeFile(event.detail)}
      ></bole-file>
      ${this.#long.shown()}
      ${this.readText ? this.#paste() : nothing}
      <bole-colour-at-hand @chosen=${(event: CustomEvent<ChosenColour>) => this.#takeKnown(event.detail)}></bole-colour-at-hand>
      <bole-habit-chooser @habit=${(event: CustomEvent<ReadingHabit | undefined>) => (this.habit = event.detail)}></bole-habit-chooser>
      <div aria-live="polite">
        ${this.#doubt.shown()}
        ${this.learnt ? html`<bole-message kind="note" .text=${this.learnt}></bole-message>` : nothing}
        ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble} .field=${this.label}><p>${this.stays}</p></bole-message>` : nothing}
      </div>
      ${this.offered ? this.#offer(this.offered) : nothing} ${this.table ? this.#taken(this.table) : nothing}
    `;
  }

  #taken(table: TakenTable) {
    return tableTaken(table, this.trouble !== "", (answers) => this.#readOtherwise(table.file, answers));
  }

  /** Set by a person: read again, and kept with the habit where it belongs to the instrument and not to the file. */
  #readOtherwise(file: NamedText, answers: ReadingAnswers): void {
    this.#doubt.forget();
    this.#readFile({ ...file, answers });
    if (!this.habit) return;
    const { decimal: _, layout: __, ...habit } = this.habit;
    const chooser = this.renderRoot.querySelector<HabitChooser>("bole-habit-chooser");
    void chooser?.keep({ ...habit, ...layoutSaid(answers) });
  }

  #paste() {
    return html`<details ?open=${this.typing}>
      <summary>Or type or paste Lab</summary>
      <bole-text
        label="L*, a*, b*: one colour on a line"
        multiline
        .rows=${3}
        .maxLength=${20_000}
        .value=${this.pasted}
        hint="Such as 43.2 51.0 28.5, or seat: 43,2; 51,0; 28,5 (D65/10°). Several lines are several readings."
        @input=${(event: CustomEvent<{ value: string }>) => (this.pasted = event.detail.value)}
        @change=${this.#typed}
      ></bole-text>
      <button type="button" ?disabled=${this.pasted.trim() === ""} @click=${() => this.#takeText()}>Read it</button>
    </details>`;
  }

  #takeFile(file: NamedText): void {
    this.#doubt.forget();
    const answers = layoutSaid(this.habit ?? {});
    this.#readFile(Object.keys(answers).length > 0 ? { ...file, answers } : file);
  }

  #readFile(file: NamedText): void {
    void this.#showTable(file);
    void this.#take(file.name, this.#long.read(this.reader, file), (answers) =>
      this.#readFile({ ...file, answers: { ...file.answers, ...answers } }),
    );
  }

  /** One colour is read when the box is left, as any field is; several lines wait for the press. */
  readonly #typed = (event: CustomEvent<{ value: string }>): void => {
    this.pasted = event.detail.value;
    const text = this.pasted.trim();
    if (text !== "" && !text.includes("\n")) this.#takeText();
  };

  #takeText(): void {
    this.#doubt.forget();
    this.#newest = undefined;
    this.table = undefined;
    this.#readTyped(this.pasted);
  }

  #takeKnown({ from, read }: ChosenColour): void {
    this.#doubt.forget();
    this.#newest = undefined;
    this.table = undefined;
    void this.#take(from, read);
  }

  async #showTable(file: NamedText): Promise<void> {
    this.#newest = file;
    const found = await this.reader.tableIn?.(file);
    if (found) await import("./tablePreview.ts");
    if (this.#newest === file) this.table = found && { file, found };
  }

  #readTyped(text: string, answers?: ReadingAnswers): void {
    void this.#take(
      "typed",
      this.readText!(text, answers).then((found) => ({ form: "typed", ...found })),
      (given) => this.#readTyped(text, given),
    );
  }

  async #take(
    from: string,
    read: Promise<OfferedColours>,
    again?: (answers: ReadingAnswers) => void,
  ): Promise<void> {
    this.trouble = "";
    this.learnt = "";
    this.offered = undefined;
    this.chosen = new Set();
    this.find = "";
    this.illuminant = "";
    this.observer = "";
    this.#previews = new Map();
    this.#reading = read;
    try {
      const offered = await read;
      // A newer file has come in the meantime.
      if (this.#reading !== read) return;
      this.offered = { ...offered, from };
      if (offered.samples.length > 1) return;
      this.chosen = new Set([0]);
      const [only] = offered.samples;
      const found = this.#previewOf(only);
      if (typeof found === "string") {
        this.offered = undefined;
        this.trouble = `${only.label}: ${found}`;
      } else if (this.#asked(offered.samples).length === 0) this.#use();
    } catch (error) {
      if (this.#reading !== read || (again && this.#doubt.ask(error, again))) return;
      this.trouble = messageOf(error);
    }
  }

  /** Tristimulus values mean nothing without their light and observer: these have to be asked. */
  #asked(samples: readonly OfferedColour[]): ("illuminant" | "observer")[] {
    return (["illuminant", "observer"] as const).filter((what) =>
      samples.some((sample) => sample.kind === "XYZ" && withHabit(sample, this.habit)[what] === undefined),
    );
  }

  #previewOf(colour: OfferedColour): OfferedPreview | string {
    let found = this.#previews.get(colour);
    if (found === undefined) {
      try {
        found = this.preview(colour as never);
      } catch (error) {
        found = messageOf(error);
      }
      this.#previews.set(colour, found);
    }
    return found;
  }

  #offer(offered: OfferedColours & { from: string }) {
    const { samples, from, form } = offered;
    const word = this.find.trim().toLowerCase();
    const fitting = samples
      .map((sample, index) => ({ sample, index }))
      .filter(({ sample }) => word === "" || sample.label.toLowerCase().includes(word));
    const taken = [...this.chosen].map((index) => samples[index]);
    const asked = this.#asked(taken);
    const missing = asked.filter((what) => this[what] === "");
    const mixed = new Set(taken.map(conditionsOf)).size > 1;
    const use =
      taken.length === 1
        ? `Use “${taken[0].label}”`
        : taken.length > 1
          ? `Use the mean of these ${taken.length}`
          : "Choose one, or several readings of one surface";
    const unfit = taken.length === 0 || taken.length > most || missing.length > 0 || mixed;
    return html`
      <p>
        ${from === "typed" ? "The text" : from} holds ${plural(samples.length, "colour")}${form === "typed" ? "" : ` (${form})`}.
        ${samples.length > 1 ? "Tick one, or several readings of the same surface." : nothing}
      </p>
      ${
        samples.length >= findFrom
          ? html`<bole-text
              label="Find by name"
              .value=${this.find}
              @input=${(event: CustomEvent<{ value: string }>) => (this.find = event.detail.value)}
            ></bole-text>`
          : nothing
      }
      <ul class="rows" aria-label="Colours found">
        ${fitting.slice(0, rowsShown).map(({ sample, index }) => this.#row(sample, index))}
      </ul>
      ${
        fitting.length > rowsShown
          ? html`<p class="hint">${fitting.length - rowsShown} more: find them by a word of their name.</p>`
          : nothing
      }
      <details>
        <summary>How it was read</summary>
        <ul>
          ${offered.assumptions.map((text) => html`<li>${text}</li>`)}
        </ul>
      </details>
      ${asked.length > 0 ? this.#conditions(asked) : nothing}
      ${
        mixed
          ? html`<p>
              These were not read alike (spectrum or Lab, light, observer, surface reflection) and cannot be averaged: tick such
              as belong together.
            </p>`
          : nothing
      }
      ${taken.length > most ? html`<p>At most ${most} readings can be averaged: ${taken.length} are ticked.</p>` : nothing}
      <div class="buttons">
        <button
          type="button"
          ?disabled=${unfit}
          @click=${() => this.#use()}
        >${use}</button>
        <button type="button" class="plain" @click=${() => (this.offered = undefined)}>Leave it</button>
      </div>
    `;
  }

  #conditions(asked: readonly ("illuminant" | "observer")[]) {
    const options = { illuminant: this.lights, observer: observers };
    return html`<p>XYZ mean nothing without their light and observer, and this file does not say them:</p>
      <div class="asked">
        ${asked.map(
          (what) => html`<bole-choice
            label=${`Stated for the ${what === "illuminant" ? "light" : what}`}
            .options=${options[what]}
            .value=${this[what]}
            @change=${(event: CustomEvent<{ value: string }>) => (this[what] = event.detail.value)}
          ></bole-choice>`,
        )}
      </div>`;
  }

  #row(sample: OfferedColour, index: number) {
    const found = this.#previewOf(sample);
    if (typeof found === "string") {
      return html`<li class="unusable"><strong>${sample.label}</strong> cannot be used: ${found}.</li>`;
    }
    const { css: colour } = screenColour(found.XYZ, { weights: { white: found.white }, gamut: "srgb" });
    return html`<li>
      <label>
        <input
          type="checkbox"
          .checked=${this.chosen.has(index)}
          @change=${(event: Event) => this.#tick(index, (event.target as HTMLInputElement).checked)}
        />
        <span class="chip" aria-hidden="true"><span .style=${`background:${colour}`}></span></span>
        <span class="words">
          <span class="name">${sample.label}</span>
          <span class="figures">${LabText(found.Lab)}</span>
        </span>
        ${found.curve ? sparkline(found.curve) : nothing}
      </label>
    </li>`;
  }

  #tick(index: number, on: boolean): void {
    const chosen = new Set(this.chosen);
    if (on) chosen.add(index);
    else chosen.delete(index);
    this.chosen = chosen;
  }

  /** The habit, with what a black tells of it where nobody knew whether the surface is counted in. */
  #learnt(samples: readonly OfferedColour[]): ReadingHabit | undefined {
    const { habit } = this;
    if (!habit) return undefined;
    const after = samples.reduce((known, sample) => {
      const found = this.#previewOf(sample);
      if (typeof found === "string" || sample.specular) return known;
      const shares = found.curve ?? Array.from(found.XYZ, (value, i) => value / found.white[i]);
      return habitAfter(known, Math.min(...Array.from(shares)));
    }, habit);
    if (after !== habit) {
      void this.renderRoot.querySelector<HabitChooser>("bole-habit-chooser")?.keep(after);
      this.learnt = `This reading is darker than what a surface alone reflects: ${habit.name} leaves the surface reflection out. That is kept with it.`;
    }
    return after;
  }

  #use(): void {
    const { samples, assumptions, from, form } = this.offered!;
    // A colour that is known already was not read with the instrument that is chosen here.
    const habit =
      form === "known" ? undefined : this.#learnt([...this.chosen].map((index) => samples[index]));
    const taken = [...this.chosen].sort((a, b) => a - b).map((index) => withHabit(samples[index], habit));
    this.offered = undefined;
    this.pasted = "";
    emit<TakenColours>(this, "colours", {
      samples: taken,
      assumptions: habit ? [...assumptions, `read with ${habit.name}`] : assumptions,
      from,
      ...(habit ? { habit } : {}),
      conditions: {
        ...(this.illuminant === "" ? {} : { illuminant: this.illuminant }),
        ...(this.observer === "" ? {} : { observer: this.observer }),
      },
    });
  }

  static override styles = [colourInputStyles, notPrinted];
}
