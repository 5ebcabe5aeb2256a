import { html, type TemplateResult } from "lit";
import type { ReadingAnswers } from "../tables/doubt.ts";
import type { FoundTable } from "../tables/tidyTable.ts";
import type { NamedText } from "./longReading.ts";

/** A file that is a table, and what was taken for what in it. */
export interface TakenTable {
  readonly file: NamedText;
  readonly found: FoundTable;
}

/**
 * How a file was taken apart, for one that was read and for one that was refused. The element that shows it
 * (tablePreview.ts) may come later.
 *
 * @param answered told all answers when a person has set something otherwise
 */
export function tableTaken(
  { file, found }: TakenTable,
  isRefused: boolean,
  answered: (answers: ReadingAnswers) => void,
): TemplateResult {
  return html`<details ?open=${isRefused}>
    <summary>How ${file.name} was taken apart</summary>
    <bole-table-preview
      .found=${found}
      .answers=${file.answers ?? {}}
      @answers=${(event: CustomEvent<ReadingAnswers>) => answered(event.detail)}
    ></bole-table-preview>
  </details>`;
}
