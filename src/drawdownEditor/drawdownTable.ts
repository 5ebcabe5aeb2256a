import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { findComponent } from "../calibration/fromTable.ts";
import type { Component } from "../coating/component.ts";
import { emit } from "../controls/emit.ts";
import { viewStyles } from "../controls/viewStyles.ts";
import { groundsOf, withFilm, withNewFilm } from "../drawdowns/edits.ts";
import {
  type AnyReading,
  groundKey,
  type KeptFilm,
  type KeptTable,
  type KeptThickness,
  ownLabels,
} from "../drawdowns/keptTable.ts";
import { type FilmFigures, noFigures } from "./filmFigures.ts";
import "./filmForm.ts";
import type { ColourConditions } from "../drawdowns/offeredReadings.ts";
import type { OpenRow } from "./filmForm.ts";

/**
 * Drawdowns with what was found of each, to be looked over, mended, added to.
 * Events: `bole-table` (KeptTable), `bole-open` (OpenRow | undefined).
 */
@customElement("bole-drawdown-table")
export class DrawdownTable extends LitElement {
  @property({ attribute: false }) table!: KeptTable<AnyReading>;
  @property() kind: "spectra" | "colours" = "spectra";
  /** what was found of the drawdown with a label; undefined while this very table has no result */
  @property({ attribute: false }) figuresOf: ((label: string) => FilmFigures) | undefined;
  @property({ attribute: false }) known: readonly Component[] = [];
  @property({ attribute: false }) conditions!: ColourConditions;
  @property({ attribute: false }) open: OpenRow | undefined;

  protected override render() {
    const { films, bare } = this.table;
    const labels = ownLabels(films);
    const spectra = this.kind === "spectra";
    // Roles are spelled out: on narrow screens the rows are laid out as blocks, which would take them away.
    return html`
      <div role="table" aria-label="Drawdowns" class="table">
        <div role="row" class="row head">
          <span role="columnheader">Drawdown</span>
          <span role="columnheader">Thickness of the dry film</span>
          <span role="columnheader">${spectra ? "Left over by the fit" : "Off by"}</span>
          <span role="columnheader">Predicted from the others</span>
          <span role="columnheader">In the fit</span>
          <span role="columnheader">Change</span>
        </div>
        <div role="row" class="row">
          <span role="cell" class="name"><strong>The bare card</strong><br /><span class="soft">${bare.length === 0 ? "no reading yet" : readingWords(bare)}</span></span>
          <span role="cell" class="empty"></span><span role="cell" class="empty"></span><span role="cell" class="empty"></span><span role="cell" class="empty"></span>
          <span role="cell" class="act">${this.#openButton("bare", "the bare card")}</span>
        </div>
        ${this.open === "bare" ? this.#form("bare") : nothing}
        ${films.map((film, index) => this.#row(film, index, labels[index]))}
      </div>
      <div class="below">
        <button @click=${this.#add}>Add a drawdown by hand</button>
      </div>
    `;
  }

  #row(film: KeptFilm<AnyReading>, index: number, label: string) {
    const { state, found, leftOver, predicted } = this.#figures(film, label);
    return html`
      <div role="row" class="row ${film.use ? "" : "out"}">
        <span role="cell" class="name"
          ><strong>${label}</strong><br /><span class="soft">${this.#mixWords(film)}<br />${film.readings.length === 0 ? "no reading yet" : readingWords(film.readings)}</span></span
        >
        <span role="cell"><span class="key">Thickness</span><span>${thicknessWords(film.thickness)}${found ? html`<br />${found}` : nothing}</span></span>
        <span role="cell"><span class="key">${this.kind === "spectra" ? "Left over" : "Off by"}</span><span>${leftOver}</span></span>
        <span role="cell"><span class="key">Predicted from the others</span><span>${predicted}</span></span>
        <span role="cell"
          ><span class="key">In the fit</span
          ><span class="use"
            ><span>${state}</span>
            <button
              aria-label=${film.use ? `Leave it out: ${label}` : `Take it back: ${label}`}
              @click=${() => this.#emit(withFilm(this.table, index, { use: !film.use, always: undefined }))}
            >
              ${film.use ? "Leave it out" : "Take it back"}
            </button></span
          ></span
        >
        <span role="cell" class="act">${this.#openButton(index, label)}</span>
      </div>
      ${this.open === index ? this.#form(index) : nothing}
    `;
  }

  #form(row: OpenRow) {
    return html`<div role="row" class="wide">
      <div role="cell">
        <bole-film-form
          .table=${this.table}
          .row=${row}
          .kind=${this.kind}
          .known=${this.known}
          .conditions=${this.conditions}
          @bole-table=${(event: CustomEvent<KeptTable<AnyReading>>) => this.#emit(event.detail)}
          @bole-close=${() => this.#toggle(undefined)}
        ></bole-film-form>
      </div>
    </div>`;
  }

  #openButton(row: OpenRow, label: string) {
    const open = this.open === row;
    return html`<button aria-expanded=${open} aria-label=${`${open ? "Close" : "Change"} ${label}`} @click=${() => this.#toggle(open ? undefined : row)}>
      ${open ? "Close" : "Change"}
    </button>`;
  }

  #figures(film: KeptFilm<AnyReading>, label: string): FilmFigures {
    if (!film.use) return { ...noFigures, state: "left out" };
    if (film.readings.length === 0) return { ...noFigures, state: "waits for a reading" };
    return this.figuresOf?.(label) ?? { ...noFigures, state: "" };
  }

  #mixWords({ amounts, basis }: KeptFilm<AnyReading>): string {
    const held = [
      ...(amounts[0] > 0 ? [{ name: "paste", amount: amounts[0] }] : []),
      ...this.table.components.flatMap((id, j) =>
        amounts[j + 1] > 0
          ? [{ name: findComponent(this.known, id)?.name ?? id, amount: amounts[j + 1] }]
          : [],
      ),
    ];
    if (held.length === 1 && amounts[0] > 0) return "the paste alone";
    const unit = basis === "mass" ? " g" : basis === "volume" ? " mL" : "";
    const words = held
      .map(({ name, amount }) => `${Number(amount.toPrecision(6))}${unit} ${name}`)
      .join(" + ");
    return `${words || "nothing poured"}${basis === "dry volume" ? " (of the dry film)" : ""}`;
  }

  readonly #add = (): void => {
    const place = this.table.films.length;
    this.#emit(withNewFilm(this.table));
    this.#toggle(place);
  };

  #toggle(row: OpenRow | undefined): void {
    emit(this, "bole-open", row);
  }

  #emit(table: KeptTable<AnyReading>): void {
    emit(this, "bole-table", table);
  }

  static override styles = [
    ...viewStyles,
    css`
      :host {
        container-type: inline-size;
      }
      .row {
        display: grid;
        grid-template-columns: minmax(12rem, 4fr) minmax(9rem, 2fr) 1fr 1.1fr 8.5rem auto;
        gap: 4px 16px;
        align-items: center;
        padding-block: 8px;
        border-block-end: 1px solid var(--bole-hairline);
        font-variant-numeric: tabular-nums;
        overflow-wrap: anywhere;
      }
      .head {
        align-items: end;
        font-weight: 700;
      }
      .head span:last-child {
        inline-size: 6.5rem;
      }
      .act button {
        inline-size: 6.5rem;
        padding: 0;
      }
      .key {
        display: none;
      }
      .use {
        display: flex;
        flex-direction: column;
        gap: 4px;
        align-items: start;
      }
      .out .name,
      .out > span {
        color: var(--bole-ink-soft);
      }
      .below {
        margin-block: 12px;
      }
      @container (max-width: 56rem) {
        .head {
          position: absolute;
          inline-size: 1px;
          block-size: 1px;
          overflow: hidden;
          clip-path: inset(50%);
        }
        .row:not(.head) {
          grid-template-columns: repeat(auto-fill, minmax(min(100%, 10.5rem), 1fr));
          align-items: start;
          gap: 8px 16px;
          padding-block: 14px;
        }
        .name {
          grid-row: 1;
          grid-column: 1 / -1;
          padding-inline-end: 7.2rem;
        }
        .empty {
          display: none;
        }
        .key {
          display: block;
          color: var(--bole-ink-soft);
        }
        .act {
          grid-row: 1;
          grid-column: 1 / -1;
          justify-self: end;
        }
      }
    `,
  ];
}

function readingWords(readings: readonly AnyReading[]): string {
  const modes = [...new Set(readings.map(({ specular }) => specular))];
  const count = (ground: string) => {
    const own = readings.filter((one) => groundKey(one.ground) === groundKey(ground));
    const repeats = own.reduce((sum, one) => sum + ("repeats" in one ? one.repeats : 1), 0);
    return repeats > 1 ? `${ground} (${repeats} readings)` : ground;
  };
  return `over ${groundsOf(readings).map(count).join(" and ")}, specular ${modes.join(" and ")}`;
}

function thicknessWords(thickness: KeptThickness): string {
  if (thickness.kind === "unknown") return "not measured";
  if (thickness.kind === "opaque") return "hides the card";
  const { basis, value, errorPercent } = thickness;
  const of = { dry: "µm dry", wet: "µm wet", gap: "µm gap", amount: "laid" }[basis];
  return `stated ${Number(value.toPrecision(6))} ${of}${errorPercent === undefined ? "" : ` ± ${errorPercent} %`}`;
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-drawdown-table": DrawdownTable;
  }
}
