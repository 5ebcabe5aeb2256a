import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import "../../src/controls/boleFile.ts";
import type { Component } from "../../src/coating/component.ts";
import "../../src/controls/bolePaper.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import "../../src/controls/saveButtons.ts";
import { saveText } from "../../src/controls/saveFile.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import "../../src/drawdownEditor/drawdownTable.ts";
import "../../src/drawdownEditor/tableLoader.ts";
import { figuresOf } from "../../src/drawdownEditor/filmFigures.ts";
import type { OpenRow } from "../../src/drawdownEditor/filmForm.ts";
import { tableToLedger } from "../../src/drawdownEditor/tableToLedger.ts";
import { emptyTable, withFilm } from "../../src/drawdowns/edits.ts";
import { fitWords } from "../../src/drawdowns/fitWords.ts";
import { type AnyReading, type KeptTable, ownLabels } from "../../src/drawdowns/keptTable.ts";
import { type ReadTable, savedTable } from "../../src/drawdowns/tableFile.ts";
import { coefficientFiles } from "../../src/exchange/exportFiles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { componentToSave, type PigmentSet } from "../../src/ports/pigmentSet.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { type Calibration, calibration } from "./define.ts";
import "./view/findings.ts";
import "./view/verdict.ts";
import { UntilEdited } from "../../src/controls/untilEdited.ts";
import {
  worksheetFile,
  worksheetFilms,
  worksheetPage,
  worksheetSteps,
} from "../../src/paper/calibrationWorksheet.ts";
import { plural } from "../../src/words/plural.ts";

const tag = "bole-view-calibration";
export default tag;

@customElement(tag)
export class CalibrationView extends CellView<
  Calibration,
  ParameterValues<typeof calibration.parameters>,
  { pigments: PigmentSet }
> {
  @state() private trouble = "";
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = ""));
  @state() private open: OpenRow | undefined;
  #worksheet: { name: string; page: ReturnType<typeof worksheetPage> } | undefined;

  protected override render() {
    const field = (name: keyof typeof calibration.parameters) =>
      parameterField(this, calibration.parameters, name);
    const { parameters } = this;
    const colours = parameters.source === "colours";
    const table = this.#table;
    // A result of the other way of measuring, or of a table that cannot be computed, is not shown as if it were this one's.
    const value =
      table && this.outcome.status !== "error" && this.value?.from === parameters.source
        ? this.value
        : undefined;
    const known = this.linked.pigments?.components ?? [];
    return html`
      ${
        value && this.outcome.status !== "blocked"
          ? html`<bole-calibration-verdict
              .value=${value}
              .verdict=${this.verdict}
              .labels=${table ? ownLabels(table.films) : []}
              @bole-add=${(event: CustomEvent<Component>) => this.#add(event.detail)}
              @bole-use=${(event: CustomEvent<{ label: string; use: boolean; always: true | undefined }>) => this.#use(event.detail)}
              @bole-change=${(event: CustomEvent<string>) => this.#change(event.detail)}
            ></bole-calibration-verdict>`
          : nothing
      }
      ${table ? nothing : this.#start()}
      ${table ? this.#drawdowns(table, known) : nothing} ${tableToLedger(parameters, known, this.cell.title)}
      ${
        value
          ? html`<bole-calibration-findings
              .value=${value}
              .compareWith=${parameters.compareWith}
              .read=${{ illuminant: parameters.readIlluminant, observer: parameters.readObserver }}
              ?refitting=${this.acting === "refit"}
              @bole-refit=${() => this.act("refit")}
              @bole-compare=${(event: CustomEvent<string>) => this.set({ compareWith: event.detail })}
            ></bole-calibration-findings>`
          : nothing
      }
      ${
        value?.component
          ? html`<bole-save-buttons
              label="its K and S"
              .name=${value.component.name}
              .files=${coefficientFiles([value.component], `K and S of "${value.component.name}", calibrated from drawdowns`)}
            ></bole-save-buttons>`
          : nothing
      }
      ${this.#howTo(table === null)}
      <details ?open=${value?.component !== undefined && parameters.costPerLitre === ""}>
        <summary>The paste</summary>
        <p>Density and cost are asked before a quote uses it: the density makes grams of millilitres, the cost money of them.</p>
        <div class="fields">
          ${(["name", "colourIndex", "density", "volumeSolids", "costPerLitre", "by", "when"] as const).map(field)}
        </div>
      </details>
      <details>
        <summary>How it is measured and computed</summary>
        <div class="fields">
          ${field("source")}
          ${(colours ? (["readIlluminant", "readObserver", "colourError"] as const) : (["noise", "smooth", "outliers", "estimateK2"] as const)).map(field)}
          ${(["externalReflection", "internalReflection"] as const).map(field)}
        </div>
        <p class="soft">${value ? fitWords(value) : nothing}</p>
      </details>
    `;
  }

  get #table(): KeptTable<AnyReading> | null {
    const { source, drawdowns, colours } = this.parameters;
    return source === "colours" ? colours : drawdowns;
  }

  /** A cell without a table: how the drawdowns come in. */
  #drawdowns(table: KeptTable<AnyReading>, known: readonly Component[]) {
    const { value, parameters } = this;
    return html`<h3 tabindex="-1">${plural(table.films.length, "drawdown")} of ${table.file}</h3>
              <bole-drawdown-table
                .table=${table}
                .kind=${parameters.source}
                .figuresOf=${value && ((label: string) => figuresOf(value, label))}
                .known=${known}
                .conditions=${{
                  illuminant: parameters.readIlluminant,
                  observer: parameters.readObserver,
                  weights: weightsFor(parameters.readObserver, parameters.readIlluminant),
                }}
                .open=${this.open}
                @bole-table=${(event: CustomEvent<KeptTable<AnyReading>>) => this.#setTable(event.detail)}
                @bole-open=${(event: CustomEvent<OpenRow | undefined>) => (this.open = event.detail ?? undefined)}
              ></bole-drawdown-table>
              ${table.notes.length > 0 ? html`<details><summary>How it was read</summary><ul>${table.notes.map((text) => html`<li>${text}</li>`)}</ul></details>` : nothing}
              ${this.#files(table)}`;
  }

  #start() {
    return html`
      <p class="verdict">
        <strong>Nothing to calibrate from yet.</strong> Draw the paste down as the worksheet says, then load the readings or
        add the drawdowns one by one.
      </p>
      ${parameterField(this, calibration.parameters, "source")} ${this.#loader()}
      <div class="row"><button @click=${() => this.#setTable(emptyTable())}>Start a table by hand</button></div>
    `;
  }

  #files(table: KeptTable<AnyReading>) {
    return html`<div class="row">
        <button @click=${() => this.#save(table)}>Save the table as CSV</button>
      </div>
      <details>
        <summary>Load another table</summary>
        ${this.#loader()}
        <p class="soft">It takes the place of this one; “Undo” brings this one back.</p>
      </details>
      ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble} field="Drawdowns"></bole-message>` : nothing}`;
  }

  #loader() {
    return html`<bole-table-loader
      .paste=${this.parameters.name}
      .kind=${this.parameters.source}
      .films=${worksheetFilms}
      .known=${this.linked.pigments?.components ?? []}
      @bole-read=${(event: CustomEvent<ReadTable>) => this.#read(event.detail)}
    ></bole-table-loader>`;
  }

  #howTo(open: boolean) {
    const { name } = this.parameters;
    if (this.#worksheet?.name !== name) this.#worksheet = { name, page: worksheetPage(name) };
    return html`<details ?open=${open}>
        <summary>What to draw down, and why</summary>
        <ol>${worksheetSteps.map(({ what, why }) => html`<li><strong>${what}</strong> ${why}</li>`)}</ol>
      </details>
      <details>
        <summary>The worksheet to print</summary>
        <bole-paper
          label="the worksheet"
          .page=${this.#worksheet.page}
          .makeFile=${() => worksheetFile(name)}
          file-name="drawdown-worksheet.html"
        ></bole-paper>
      </details>`;
  }

  #read({ settings, kept }: ReadTable): void {
    const first = this.#table === null;
    const { paste, density, volumeSolids, colourIndex } = settings;
    this.trouble = "";
    this.open = undefined;
    this.set({
      ...kept,
      refits: null,
      ...(paste ? { name: paste.slice(0, 120) } : {}),
      ...(density === undefined ? {} : { density }),
      ...(volumeSolids === undefined ? {} : { volumeSolids: Math.round(volumeSolids * 1000) / 10 }),
      ...(colourIndex ? { colourIndex: colourIndex.slice(0, 40) } : {}),
    });
    // The place for the file is gone with the empty cell; who works by keys goes on from the table.
    if (first) void this.updateComplete.then(() => this.renderRoot.querySelector("h3")?.focus());
  }

  #save(table: KeptTable<AnyReading>): void {
    this.trouble = "";
    try {
      const { name, text } = savedTable(table, this.parameters);
      saveText(name, text, "text/csv");
    } catch (error) {
      this.trouble = `It cannot be saved as CSV yet: ${(error as Error).message}`;
    }
  }

  #setTable(table: KeptTable<AnyReading>): void {
    this.trouble = "";
    // The table holds readings of one kind: its own.
    this.set({ [this.parameters.source === "colours" ? "colours" : "drawdowns"]: table });
  }

  #use({ label, use, always }: { label: string; use: boolean; always: true | undefined }): void {
    const table = this.#table;
    const index = table ? ownLabels(table.films).indexOf(label) : -1;
    if (table && index >= 0) this.#setTable(withFilm(table, index, { use, always }));
  }

  #change(label: string): void {
    const index = this.#table ? ownLabels(this.#table.films).indexOf(label) : -1;
    if (index < 0) return;
    this.open = index;
    void this.updateComplete.then(async () => {
      const table = this.renderRoot.querySelector("bole-drawdown-table");
      await table?.updateComplete;
      table?.renderRoot.querySelector("bole-film-form")?.scrollIntoView({ block: "nearest" });
    });
  }

  #add(component: Component): void {
    const { cell, added } = this.value!.pigments;
    const others = added.filter((other) => other.id !== component.id);
    this.setElsewhere(cell, { added: [...others, componentToSave(component)] });
  }

  static override styles = [
    ...viewStyles,
    css`
      h3 {
        font-size: 1.1rem;
        margin-block: 20px 4px;
        overflow-wrap: anywhere;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 10px;
        margin-block: 12px;
      }
      bole-file {
        margin-block: 14px;
      }
    `,
  ];
}
