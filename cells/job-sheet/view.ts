import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import "../../src/controls/bolePaper.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { JobSheet } from "../../src/paper/jobSheet.ts";
import { jobSheetDocument, jobSheetPage } from "../../src/paper/jobSheetPage.ts";
import type { NotebookLink, PrintedPage } from "../../src/paper/paper.ts";
import { jobSheet } from "./define.ts";

const tag = "bole-view-job-sheet";
export default tag;

/** The notebook this page shows: its file, and the address that opens it. */
function notebookLink(): NotebookLink {
  const name = new URLSearchParams(location.search).get("notebook");
  return { text: name ? `${name}.bole.json` : document.title, href: location.href };
}

@customElement(tag)
export class JobSheetView extends CellView<JobSheet, ParameterValues<typeof jobSheet.parameters>> {
  #page: { value: JobSheet; address: string; page: PrintedPage } | undefined;

  protected override render() {
    const { value } = this;
    const field = (name: keyof typeof jobSheet.parameters) => parameterField(this, jobSheet.parameters, name);
    return html`
      ${this.verdictLine(false)}
      <div class="fields">
        ${field("customer")} ${field("date")} ${field("by")} ${field("showPrice")}
        <div class="wide">${field("remarks")}</div>
      </div>
      ${
        value
          ? html`<bole-paper
              label="the job sheet"
              .page=${this.#pageOf(value)}
              .makeFile=${() => jobSheetDocument(value, notebookLink())}
              file-name="job-sheet.html"
            ></bole-paper>`
          : nothing
      }
    `;
  }

  #pageOf(value: JobSheet): PrintedPage {
    if (this.#page?.value !== value || this.#page.address !== location.href)
      this.#page = { value, address: location.href, page: jobSheetPage(value, notebookLink()) };
    return this.#page.page;
  }

  static override styles = viewStyles;
}
