import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import type { ReadingAnswers } from "../tables/doubt.ts";
import { type LayoutAnswers, type LineRole, oddLines } from "../tables/tableLayout.ts";
import type { FoundTable } from "../tables/tidyTable.ts";
import { plural } from "../words/plural.ts";
import { emit } from "./emit.ts";
import "./index.ts";
import { notPrinted } from "./tokens.ts";
import { viewStyles } from "./viewStyles.ts";

/** Rows of readings shown, and columns; what lies above the readings is shown whole up to as many rows again. */
const shown = { above: 12, readings: 4, columns: 8 } as const;
const words: Record<LineRole, string> = {
  wavelengths: "wavelengths",
  names: "names",
  readings: "readings",
  units: "units",
  title: "title",
  "left out": "left out",
  empty: "empty",
};
const asFound = "as found";

/** The first of many, with up to as many more that are odd. */
function chosen(all: Iterable<number>, odd: readonly number[], most: number): number[] {
  const list = [...all];
  return [...new Set([...list.slice(0, most), ...list.filter((k) => odd.includes(k)).slice(0, most)])].sort(
    (a, b) => a - b,
  );
}

/**
 * What was taken for what in a table: wavelengths, names, readings, units, titles. Each row and column can be set otherwise,
 * the scale and the decimal mark too; the file is then read again.
 *
 * @fires answers - CustomEvent<ReadingAnswers>: all answers, with the new ones
 */
@customElement("bole-table-preview")
export class TablePreview extends LitElement {
  @property({ attribute: false }) found!: FoundTable;
  @property({ attribute: false }) answers: ReadingAnswers = {};

  protected override render() {
    const { layout, rows, marks, unit } = this.found;
    // What cannot be read is shown wherever it stands, so that it can be left out.
    const odd = oddLines(rows, layout);
    const columns = chosen(layout.columns.keys(), odd.columns, shown.columns);
    const body = rows.findIndex((_, k) => layout.rows[k] === "readings");
    const above = rows.map((_, k) => k).filter((k) => k < body && layout.rows[k] !== "empty");
    const below = rows.map((_, k) => k).filter((k) => k >= body && layout.rows[k] !== "empty");
    const list = [...above.slice(0, shown.above), ...chosen(below, odd.rows, shown.readings)];
    const otherColumns = layout.columns.length - columns.length;
    const otherRows = above.length + below.length - list.length;
    const { scale, decimal } = this.answers;
    return html`
      <p>
        Wavelengths ${layout.direction === "down" ? "run down" : layout.direction === "across" ? "run across" : "are not needed: columns L*, a*, b* (or X, Y, Z)"}${layout.direction === "colours" ? "" : " the table"}.
        ${unit ? `The units say ${unit === "percent" ? "per cent" : "fractions"}. ` : nothing}
        ${marks?.decimal === "comma" ? "The comma stands before the decimals." : nothing}
        What is taken wrongly can be set otherwise here.
      </p>
      <div class="scroll" tabindex="0" role="region" aria-label="The table as it was taken">
        <table>
          <thead>
            <tr>
              <td></td>
              ${columns.map((c) => html`<td>${this.#select(`Column ${c + 1}`, layout.columns[c], "columns", c, this.answers.layout?.columns?.[c])}</td>`)}
            </tr>
          </thead>
          <tbody>
            ${list.map(
              (k) => html`<tr class=${layout.rows[k].replace(" ", "-")}>
                <td>${this.#select(`Row ${rows[k].row}`, layout.rows[k], "rows", rows[k].row, this.answers.layout?.rows?.[rows[k].row])}</td>
                ${columns.map((c) => html`<td class=${layout.columns[c].replace(" ", "-")}>${(rows[k].cells[c] ?? "").slice(0, 24)}</td>`)}
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
      ${
        otherColumns > 0 || otherRows > 0
          ? html`<p class="soft">Not shown: ${[...(otherRows > 0 ? [plural(otherRows, "row")] : []), ...(otherColumns > 0 ? [plural(otherColumns, "column")] : [])].join(" and ")}, taken alike.</p>`
          : nothing
      }
      <div class="fields">
        ${this.#choice("Reflectances are", "scale", scale, [
          { value: "fraction", label: "fractions (0 to 1)" },
          { value: "percent", label: "per cent" },
        ])}
        ${this.#choice("Before the decimals stands", "decimal", decimal, [
          { value: "comma", label: "a comma" },
          { value: "point", label: "a point" },
        ])}
      </div>
    `;
  }

  #choice(
    label: string,
    name: "scale" | "decimal",
    value: string | undefined,
    options: { value: string; label: string }[],
  ) {
    return html`<bole-choice
      .label=${label}
      .options=${[{ value: asFound, label: "as the file tells" }, ...options]}
      .value=${value ?? asFound}
      @change=${(event: CustomEvent<{ value: string }>) => {
        event.stopPropagation();
        const { [name]: _, ...rest } = this.answers;
        const { value: said } = event.detail;
        emit(this, "answers", said === asFound ? rest : { ...rest, [name]: said });
      }}
    ></bole-choice>`;
  }

  #select(label: string, role: LineRole, of: "rows" | "columns", at: number, said: LineRole | undefined) {
    const offered: LineRole[] = ["wavelengths", "names", "left out"];
    return html`<label>
      <span class="unseen">${label}</span>
      <select
        .value=${said ?? asFound}
        @change=${(event: Event) => {
          event.stopPropagation();
          this.#set(of, at, (event.target as HTMLSelectElement).value);
        }}
      >
        <option value=${asFound} ?selected=${said === undefined}>${said ? asFound : words[role]}</option>
        ${offered
          .filter((other) => said !== undefined || other !== role)
          .map((other) => html`<option value=${other} ?selected=${said === other}>${words[other]}</option>`)}
      </select>
    </label>`;
  }

  #set(of: "rows" | "columns", at: number, value: string): void {
    const before = this.answers.layout ?? {};
    const { [at]: _, ...others } = before[of] ?? {};
    const lines = value === asFound ? others : { ...others, [at]: value as LineRole };
    // Only one row or column holds the wavelengths, and one the names.
    const single = Object.fromEntries(
      Object.entries(lines).filter(([k, role]) => Number(k) === at || role === "left out" || role !== value),
    );
    const layout: LayoutAnswers = { ...before, [of]: single, width: this.found.layout.columns.length };
    emit(this, "answers", { ...this.answers, layout });
  }

  static override styles = [
    ...viewStyles,
    notPrinted,
    css`
      :host {
        display: block;
      }
      td {
        white-space: nowrap;
        font-variant-numeric: tabular-nums;
      }
      select {
        min-block-size: var(--bole-target);
        min-inline-size: 7rem;
        font: inherit;
        color: inherit;
        background: var(--bole-sheet);
        border: 1.5px solid var(--bole-line);
        border-radius: var(--bole-radius);
      }
      td.wavelengths,
      tr.names td,
      tr.wavelengths td {
        font-weight: 600;
      }
      tr.title td,
      tr.units td,
      td.left-out,
      tr.left-out td {
        color: var(--bole-ink-soft);
        font-style: italic;
      }
    `,
  ];
}
