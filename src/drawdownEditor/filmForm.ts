import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { live } from "lit/directives/live.js";
import { usualThicknessError } from "../calibration/compose.ts";
import { findComponent } from "../calibration/fromTable.ts";
import type { Component } from "../coating/component.ts";
import { emit } from "../controls/emit.ts";
import { LabText } from "../controls/numbers.ts";
import { viewStyles } from "../controls/viewStyles.ts";
import {
  groundsOf,
  hasRoomForComponent,
  labelTrouble,
  withAmount,
  withFilm,
  withGroundsExchanged,
  withoutFilm,
  withReading,
  withSpecular,
} from "../drawdowns/edits.ts";
import type { AnyReading, KeptFilm, KeptTable, KeptThickness } from "../drawdowns/keptTable.ts";
import "./readingInput.ts";
import type { ColourConditions } from "../drawdowns/offeredReadings.ts";

const ways = [
  { value: "dry", label: "measured dry" },
  { value: "wet", label: "measured wet" },
  { value: "gap", label: "gap of the applicator" },
  { value: "amount", label: "laid amount, any unit" },
  { value: "unknown", label: "not known" },
  { value: "opaque", label: "hides the card" },
];

/** Which row is worked on: a drawdown by its place, or the bare card. */
export type OpenRow = number | "bare";

/**
 * Everything about one drawdown, or about the bare card, to be changed.
 * Events: `bole-table` (KeptTable), `bole-close`.
 */
@customElement("bole-film-form")
export class FilmForm extends LitElement {
  @property({ attribute: false }) table!: KeptTable<AnyReading>;
  @property({ attribute: false }) row: OpenRow = "bare";
  @property() kind: "spectra" | "colours" = "spectra";
  @property({ attribute: false }) known: readonly Component[] = [];
  @property({ attribute: false }) conditions!: ColourConditions;
  @state() private trouble = "";

  protected override render() {
    if (this.row === "bare")
      return html`<div class="form" role="group" aria-label="The bare card">${this.#readings(this.table.bare)} ${this.#foot()}</div>`;
    const film = this.table.films[this.row];
    if (!film) return nothing;
    return html`<div class="form" role="group" aria-label=${film.label}>
      <div class="fields">
        <bole-text
          label="Label"
          required
          .maxLength=${200}
          .value=${film.label}
          @change=${(event: CustomEvent<{ value: string }>) => this.#rename(event.detail.value)}
        ></bole-text>
      </div>
      ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble} field="Label"><p>It is still called “${film.label}”.</p></bole-message>` : nothing}
      ${this.#mix(film, this.row)} ${this.#thickness(film)} ${this.#readings(film.readings)} ${this.#foot(film, this.row)}
    </div>`;
  }

  #mix(film: KeptFilm<AnyReading>, row: number) {
    const { components } = this.table;
    const unit = film.basis === "mass" ? "g" : film.basis === "volume" ? "mL" : "parts";
    const nameOf = (id: string) => findComponent(this.known, id)?.name ?? id;
    const amount = (label: string, id: string | undefined, value: number) => html`<bole-number
      label=${label}
      .unit=${unit}
      .value=${value} .min=${0} .max=${1e9} .step=${1} .digits=${2}
      @change=${(event: CustomEvent<{ value: number }>) => this.#emit(withAmount(this.table, row, id, event.detail.value))}
    ></bole-number>`;
    const more = this.known.filter(
      ({ id, name }) =>
        !components.some((one, j) => film.amounts[j + 1] > 0 && findComponent(this.known, one)?.id === id) &&
        name !== "",
    );
    return html`<fieldset>
      <legend>Mixed from</legend>
      <div class="fields">
        <bole-choice
          label="Amounts by"
          .options=${[
            { value: "mass", label: "weight, as weighed" },
            { value: "volume", label: "volume, as poured" },
            { value: "dry volume", label: "volume of the dry film" },
          ]}
          .value=${film.basis}
          @change=${(event: CustomEvent<{ value: KeptFilm<AnyReading>["basis"] }>) => this.#patch({ basis: event.detail.value })}
        ></bole-choice>
        ${amount("The new paste", undefined, film.amounts[0])}
        ${components.map((id, j) => (film.amounts[j + 1] > 0 ? amount(nameOf(id), id, film.amounts[j + 1]) : nothing))}
        ${
          hasRoomForComponent(this.table)
            ? html`<bole-choice
                label="Add a component"
                .options=${[{ value: "", label: "choose …" }, ...more.map(({ id, name }) => ({ value: id, label: name }))]}
                .value=${live("")}
                @change=${(event: CustomEvent<{ value: string }>) => this.#addComponent(row, event.detail.value)}
              ></bole-choice>`
            : nothing
        }
      </div>
      <p class="hint">An amount of 0 takes a component out.</p>
    </fieldset>`;
  }

  #thickness({ thickness }: KeptFilm<AnyReading>) {
    const way = thickness.kind === "stated" ? thickness.basis : thickness.kind;
    const usual =
      thickness.kind === "stated" && thickness.basis !== "amount"
        ? 100 * usualThicknessError[thickness.basis]
        : 5;
    return html`<fieldset>
      <legend>Thickness</legend>
      <div class="fields">
        <bole-choice
          label="How it is known"
          .options=${ways}
          .value=${way}
          @change=${(event: CustomEvent<{ value: string }>) => this.#setWay(thickness, event.detail.value)}
        ></bole-choice>
        ${
          thickness.kind === "stated"
            ? html`<bole-number
                  label="Thickness"
                  .unit=${thickness.basis === "amount" ? "any unit" : "µm"}
                  .value=${thickness.value} .min=${0.01} .max=${thickness.basis === "amount" ? 1e9 : 10_000} .step=${1} .digits=${1}
                  @change=${(event: CustomEvent<{ value: number }>) => this.#patch({ thickness: { ...thickness, value: event.detail.value } })}
                ></bole-number>
                <bole-number
                  label="Its error, 1σ"
                  unit="%"
                  .hint=${thickness.errorPercent === undefined ? `${usual} % is usual for this way; type another to change it` : ""}
                  .value=${thickness.errorPercent ?? usual} .min=${0.1} .max=${300} .step=${1} .digits=${1}
                  @change=${(event: CustomEvent<{ value: number }>) => this.#patch({ thickness: { ...thickness, errorPercent: event.detail.value } })}
                ></bole-number>`
            : nothing
        }
      </div>
    </fieldset>`;
  }

  #readings(readings: readonly AnyReading[]) {
    const used = groundsOf(readings);
    const all = [...new Set([...groundsOf(this.table.bare), "black", "white"])];
    // The ground that is still missing is offered first.
    const grounds = [
      ...all.filter((name) => !used.includes(name)),
      ...all.filter((name) => used.includes(name)),
    ];
    return html`<fieldset>
      <legend>Readings</legend>
      ${
        readings.length === 0
          ? html`<p class="soft">None yet.</p>`
          : html`<ul class="readings">
              ${readings.map((reading, index) => this.#reading(reading, index, readings))}
            </ul>`
      }
      ${used.length === 2 ? html`<button @click=${() => this.#setReadings(withGroundsExchanged(readings))}>Exchange ${used[0]} and ${used[1]}</button>` : nothing}
      <bole-reading-input
        .kind=${this.kind}
        .grounds=${grounds}
        .specular=${readings.at(-1)?.specular ?? this.table.bare[0]?.specular ?? "included"}
        .conditions=${this.conditions}
        @bole-readings=${(event: CustomEvent<{ readings: AnyReading[]; notes: string[] }>) => this.#add(event.detail)}
      ></bole-reading-input>
    </fieldset>`;
  }

  #reading(reading: AnyReading, index: number, all: readonly AnyReading[]) {
    const what =
      "Lab" in reading
        ? LabText(reading.Lab)
        : `${reading.repeats === 1 ? "one reading" : `mean of ${reading.repeats} readings`}, ${rangeOf(reading.reflectance)}`;
    const many =
      all.filter((one) => one.ground === reading.ground).length > 1 ? `, reading ${index + 1}` : "";
    const name = `${reading.ground}${many}`;
    return html`<li>
      <span><strong>over ${reading.ground}</strong><br />${what}</span>
      <bole-choice
        label=${`Surface reflection, ${name}`}
        .options=${[{ value: "included", label: "included" }, { value: "excluded", label: "excluded" }]}
        .value=${reading.specular}
        @change=${(event: CustomEvent<{ value: "included" | "excluded" }>) => this.#setReadings(withSpecular(all, index, event.detail.value))}
      ></bole-choice>
      <button aria-label=${`Remove the reading over ${name}`} @click=${() => this.#setReadings(all.filter((_, at) => at !== index))}>Remove</button>
    </li>`;
  }

  #foot(film?: KeptFilm<AnyReading>, row?: number) {
    return html`<div class="foot">
      <button class="done" @click=${() => emit(this, "bole-close", undefined)}>Done</button>
      ${
        film && row !== undefined
          ? html`<button @click=${() => this.#remove(row)}>Remove “${film.label}” from the table</button>`
          : nothing
      }
    </div>`;
  }

  #rename(value: string): void {
    const row = this.row as number;
    this.trouble = labelTrouble(this.table, row, value) ?? "";
    if (!this.trouble) this.#patch({ label: value.replace(/\s+/g, " ").trim() });
  }

  #remove(row: number): void {
    emit(this, "bole-close", undefined);
    this.#emit(withoutFilm(this.table, row));
  }

  #addComponent(row: number, id: string): void {
    if (id !== "") {
      // A table from a file may name it differently.
      const own = this.table.components.find((name) => findComponent(this.known, name)?.id === id) ?? id;
      this.#emit(withAmount(this.table, row, own, 1));
    }
  }

  #setWay(before: KeptThickness, way: string): void {
    if (way === "unknown" || way === "opaque") this.#patch({ thickness: { kind: way } });
    else {
      const value = before.kind === "stated" ? Math.min(before.value, way === "amount" ? 1e9 : 10_000) : 20;
      this.#patch({ thickness: { kind: "stated", basis: way as "dry", value } });
    }
  }

  #add({ readings, notes }: { readings: AnyReading[]; notes: string[] }): void {
    const before = this.row === "bare" ? this.table.bare : this.table.films[this.row].readings;
    const all = readings.reduce<AnyReading[]>((list, reading) => withReading(list, reading), [...before]);
    const told = [...new Set([...this.table.notes, ...notes])].slice(0, 100);
    this.#setReadings(all, told);
  }

  #setReadings(readings: AnyReading[], notes = this.table.notes): void {
    const table = { ...this.table, notes };
    this.#emit(this.row === "bare" ? { ...table, bare: readings } : withFilm(table, this.row, { readings }));
  }

  #patch(patch: Partial<KeptFilm<AnyReading>>): void {
    this.#emit(withFilm(this.table, this.row as number, patch));
  }

  #emit(table: KeptTable<AnyReading>): void {
    emit(this, "bole-table", table);
  }

  static override styles = [
    ...viewStyles,
    css`
      .form {
        border: 2px solid var(--bole-line);
        border-radius: var(--bole-radius);
        padding: 14px;
        margin-block: 6px 14px;
        background: var(--bole-paper);
      }
      fieldset {
        border: 0;
        border-block-start: 1px solid var(--bole-hairline);
        margin: 16px 0 0;
        padding: 10px 0 0;
        min-inline-size: 0;
      }
      legend {
        font-weight: 700;
        padding: 0 8px 0 0;
      }
      .readings {
        list-style: none;
        padding: 0;
        margin: 0 0 12px;
      }
      .readings li {
        display: flex;
        flex-wrap: wrap;
        gap: 8px 20px;
        align-items: end;
        justify-content: space-between;
        padding-block: 8px;
        border-block-end: 1px solid var(--bole-hairline);
      }
      .readings li > span {
        flex: 1 1 14rem;
      }
      bole-reading-input {
        margin-block: 12px;
      }
      .foot {
        display: flex;
        flex-wrap: wrap;
        gap: 10px;
        justify-content: space-between;
      }
      .done {
        min-inline-size: 8rem;
        border-width: 2.5px;
      }
    `,
  ];
}

function rangeOf(values: ArrayLike<number>): string {
  const all = Array.from(values);
  const percent = (value: number) => (100 * value).toFixed(1);
  return `${percent(Math.min(...all))} to ${percent(Math.max(...all))} %`;
}
