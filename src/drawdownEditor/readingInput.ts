import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import "../controls/boleFile.ts";
import { AskedDoubt } from "../controls/askedDoubt.ts";
import { emit } from "../controls/emit.ts";
import { LongReading } from "../controls/longReading.ts";
import { UntilEdited } from "../controls/untilEdited.ts";
import { viewStyles } from "../controls/viewStyles.ts";
import {
  bareRows,
  type ColourConditions,
  coloursOf,
  type OfferedReadings,
  readingsOver,
  spectraOf,
  typedColours,
} from "../drawdowns/offeredReadings.ts";
import { readColoursTask } from "../exchange/longTasks.ts";
import { readColourFile } from "../exchange/readColourFile.ts";
import type { ReadingAnswers } from "../tables/doubt.ts";
import { plural } from "../words/plural.ts";

const another = "another";
/** More samples than this are not ticked beforehand: a file of so many is no set of repeats. */
const mostRepeats = 6;

/**
 * Takes readings over one ground from a file or a pasted text.
 * Event: `bole-readings` ({readings: AnyReading[], notes: string[]}).
 */
@customElement("bole-reading-input")
export class ReadingInput extends LitElement {
  @property() kind: "spectra" | "colours" = "spectra";
  /** names of the grounds in use, the one that is missing here first */
  @property({ attribute: false }) grounds: readonly string[] = ["black", "white"];
  @property() specular: "included" | "excluded" = "included";
  @property({ attribute: false }) conditions!: ColourConditions;
  @state() private ground = "";
  @state() private ownGround = "";
  @state() private pasted = "";
  @state() private trouble = "";
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = ""));
  @state() private offered: (OfferedReadings & { name: string }) | undefined;
  @state() private chosen: ReadonlySet<number> = new Set();
  readonly #long = new LongReading(this);
  readonly #doubt = new AskedDoubt(this);
  /** the newest text wins when reading an older one takes longer */
  #newest = 0;

  protected override render() {
    const spectra = this.kind === "spectra";
    const place = this.#ground();
    return html`<div class="box" role="group" aria-label="Add a reading">
      <p class="label">Add a reading</p>
      <div class="fields">
        <bole-choice
          label="Over"
          .options=${[...this.grounds.map((name) => ({ value: name, label: name })), { value: another, label: "another ground …" }]}
          .value=${this.ground || this.grounds[0] || another}
          @change=${(event: CustomEvent<{ value: string }>) => (this.ground = event.detail.value)}
        ></bole-choice>
        ${
          (this.ground || this.grounds[0] || another) === another
            ? html`<bole-text label="Name of the ground" .maxLength=${100} .value=${this.ownGround} @change=${(event: CustomEvent<{ value: string }>) => (this.ownGround = event.detail.value)}></bole-text>`
            : nothing
        }
        <bole-choice
          label="Surface reflection"
          .options=${[
            { value: "included", label: "included (sphere, SCI)" },
            { value: "excluded", label: "excluded (45/0 or SCE)" },
          ]}
          .value=${this.specular}
          @change=${(event: CustomEvent<{ value: "included" | "excluded" }>) => (this.specular = event.detail.value)}
        ></bole-choice>
      </div>
      <bole-file
        label=${spectra ? "Spectrum from a file" : "Colours from a file"}
        accept=".csv,.txt,.tsv,.cgats,.cxf,.xml"
        .maxBytes=${10_000_000}
        @file=${(event: CustomEvent<{ name: string; text: string }>) => this.#read(event.detail.text, event.detail.name)}
      ></bole-file>
      ${this.#long.shown()} ${this.#doubt.shown()}
      <bole-text
        label=${spectra ? "or pasted here" : "or typed or pasted here: L* a* b*"}
        multiline
        .rows=${spectra ? 3 : 2}
        .maxLength=${200_000}
        .hint=${
          spectra
            ? "A table with wavelengths, or a bare row of 31 values (400 to 700 nm) or 36 (380 to 730 nm). A row for each repeat."
            : `One colour on each line, such as 43.2 51.0 28.5, under ${this.conditions.illuminant}, ${this.conditions.observer === "1931-2" ? "2°" : "10°"} observer. A line for each repeat.`
        }
        .value=${this.pasted}
        @input=${(event: CustomEvent<{ value: string }>) => (this.pasted = event.detail.value)}
      ></bole-text>
      <button ?disabled=${this.pasted.trim() === ""} @click=${() => this.#read(this.pasted, "the pasted text")}>
        Read it, over ${place || "…"}
      </button>
      ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble} field="Reading"><p>Nothing was added; what was there stays.</p></bole-message>` : nothing}
      ${this.offered ? this.#offer(this.offered) : nothing}
    </div>`;
  }

  #offer({ name, readings, notes }: OfferedReadings & { name: string }) {
    const count = this.chosen.size;
    const what =
      this.kind === "spectra" && count > 1 ? `Average ${count} readings` : `Add ${plural(count, "reading")}`;
    return html`<div class="offer" role="group" aria-label="Readings found">
      <p><strong>${name} holds ${readings.length} readings.</strong> Which of them were made here, over ${this.#ground() || "…"}?</p>
      <div class="fields">
        ${readings.slice(0, 60).map(
          (reading, index) => html`<bole-toggle
            label=${reading.label}
            on-text="yes"
            off-text="no"
            .value=${this.chosen.has(index)}
            @change=${(event: CustomEvent<{ value: boolean }>) => this.#choose(index, event.detail.value)}
          ></bole-toggle>`,
        )}
      </div>
      ${readings.length > 60 ? html`<p class="soft">The first 60 are shown; split the file to reach the others.</p>` : nothing}
      ${notes.length > 0 ? html`<p class="soft">How it was read: ${notes.slice(0, 6).join("; ")}.</p>` : nothing}
      <div class="row">
        <button ?disabled=${count === 0} @click=${() => this.#take()}>${what}</button>
        <button @click=${() => (this.offered = undefined)}>Leave it</button>
      </div>
    </div>`;
  }

  #ground(): string {
    const chosen = this.ground || this.grounds[0] || another;
    return chosen === another ? this.ownGround.replace(/\s+/g, " ").trim() : chosen;
  }

  #choose(index: number, on: boolean): void {
    const chosen = new Set(this.chosen);
    if (on) chosen.add(index);
    else chosen.delete(index);
    this.chosen = chosen;
  }

  async #read(text: string, name: string, answers?: ReadingAnswers): Promise<void> {
    if (!answers) this.#doubt.forget();
    const turn = ++this.#newest;
    this.trouble = "";
    this.offered = undefined;
    if (this.#ground() === "") {
      this.trouble = "The ground has no name. Say what lies under the film.";
      return;
    }
    try {
      const found = await this.#found(text, name, answers);
      if (turn !== this.#newest) return;
      const all = found.readings.map((_, index) => index);
      this.offered = { ...found, name };
      this.chosen = new Set(all.length <= mostRepeats ? all : []);
      if (all.length === 1) this.#take();
    } catch (error) {
      if (turn !== this.#newest) return;
      if (!this.#doubt.ask(error, (given) => void this.#read(text, name, given)))
        this.trouble = (error as Error).message;
    }
  }

  async #found(text: string, name: string, answers?: ReadingAnswers): Promise<OfferedReadings> {
    const { kind, conditions } = this;
    const typed = kind === "spectra" ? bareRows(text, answers) : typedColours(text, name, conditions);
    if (typed) return typed;
    const inPlace = (of: string, all: string, given?: ReadingAnswers) =>
      readColourFile(of, all, undefined, given);
    const file = await this.#long.read({ task: readColoursTask, inPlace }, { name, text, answers });
    return kind === "spectra" ? spectraOf(file, name) : coloursOf(file, name, conditions);
  }

  #take(): void {
    const { readings, notes } = this.offered!;
    const ground = this.#ground();
    const taken = readings.filter((_, index) => this.chosen.has(index));
    const made = readingsOver(ground, this.specular, taken);
    this.offered = undefined;
    this.pasted = "";
    this.ground = "";
    emit(this, "bole-readings", { readings: made, notes });
  }

  static override styles = [
    ...viewStyles,
    css`
      .box {
        border: 1.5px solid var(--bole-hairline);
        border-radius: var(--bole-radius);
        background: transparent;
        padding: 12px;
      }
      bole-file,
      bole-text,
      bole-message,
      .offer {
        margin-block: 12px;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 8px;
      }
    `,
  ];
}
