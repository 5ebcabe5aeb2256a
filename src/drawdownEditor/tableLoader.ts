import { html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import "../controls/boleFile.ts";
import type { Component } from "../coating/component.ts";
import { AskedDoubt } from "../controls/askedDoubt.ts";
import { emit } from "../controls/emit.ts";
import { LongReading, type NamedText } from "../controls/longReading.ts";
import "../controls/tablePreview.ts";
import { type TakenTable, tableTaken } from "../controls/tableTaken.ts";
import { notPrinted } from "../controls/tokens.ts";
import { UntilEdited } from "../controls/untilEdited.ts";
import { viewStyles } from "../controls/viewStyles.ts";
import { readTableTask } from "../drawdowns/longTasks.ts";
import { type ReadTable, readNamedTable, tableIn } from "../drawdowns/tableFile.ts";
import type { ReadingAnswers } from "../tables/doubt.ts";
import "./tableToFill.ts";

const reader = { task: readTableTask, inPlace: readNamedTable };

/**
 * Where a table of drawdowns comes in: a file, the questions it leaves open, how it was taken apart, and an empty one to
 * fill in.
 *
 * @fires bole-read - CustomEvent<ReadTable>
 */
@customElement("bole-table-loader")
export class TableLoader extends LitElement {
  @property() paste = "";
  @property() kind: "spectra" | "colours" = "spectra";
  @property({ attribute: false }) films: readonly string[] = [];
  @property({ attribute: false }) known: readonly Component[] = [];
  @state() private trouble = "";
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = ""));
  @state() private table: TakenTable | undefined;
  readonly #long = new LongReading(this);
  readonly #doubt = new AskedDoubt(this);
  /** the newest file wins when reading an older one takes longer */
  #newest: NamedText | undefined;

  protected override render() {
    return html`<bole-file
        label="Table of drawdowns (CSV)"
        accept=".csv,.txt,.tsv"
        .maxBytes=${10_000_000}
        hint="One row for each reading: label, ground, amounts, thickness, then one column for each wavelength, or L*, a*, b*."
        @file=${(event: CustomEvent<NamedText>) => {
          this.#doubt.forget();
          void this.#read(event.detail);
        }}
      ></bole-file>
      ${this.#long.shown()} ${this.#doubt.shown()}
      ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble} field="Drawdowns"><p>What was loaded before stays.</p></bole-message>` : nothing}
      ${this.table ? this.#taken(this.table) : nothing}
      <bole-table-to-fill .paste=${this.paste} .kind=${this.kind} .films=${this.films} .known=${this.known}></bole-table-to-fill>`;
  }

  #taken(table: TakenTable) {
    return tableTaken(table, this.trouble !== "", (answers) => {
      this.#doubt.forget();
      void this.#read({ ...table.file, answers });
    });
  }

  async #read(given: NamedText): Promise<void> {
    this.trouble = "";
    this.#newest = given;
    const found = tableIn(given);
    this.table = found && { file: given, found };
    try {
      const read = await this.#long.read(reader, given);
      if (this.#newest === given) emit<ReadTable>(this, "bole-read", read);
    } catch (error) {
      const again = (answers: ReadingAnswers) =>
        void this.#read({ ...given, answers: { ...given.answers, ...answers } });
      if (this.#newest !== given || this.#doubt.ask(error, again)) return;
      this.trouble = (error as Error).message;
    }
  }

  static override styles = [...viewStyles, notPrinted];
}
