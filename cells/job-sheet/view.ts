import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import "../../src/controls/bolePaper.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { CustomerQuote } from "../../src/job/quote.ts";
import type { JobSheet } from "../../src/paper/jobSheet.ts";
import { jobSheetDocument, jobSheetPage } from "../../src/paper/jobSheetPage.ts";
import type { NotebookLink, PrintedPage } from "../../src/paper/paper.ts";
import { jobSheet } from "./define.ts";

const tag = "bole-view-job-sheet";
export default tag;

/** The notebook this page shows: its file, and the address that opens it. */
function notebookLink() {
  const name = new URLSearchParams(location.search).get("notebook");
  const title = document.title.replace(/ – Bole$/, "");
  return { text: name ? `${name}.bole.json` : title, href: location.href, title } satisfies NotebookLink;
}

@customElement(tag)
export class JobSheetView extends CellView<
  JobSheet,
  ParameterValues<typeof jobSheet.parameters>,
  { quote: CustomerQuote | undefined }
> {
  #page: { value: JobSheet; address: string; title: string; page: PrintedPage } | undefined;

  protected override render() {
    const { value } = this;
    const field = (name: keyof typeof jobSheet.parameters) => parameterField(this, jobSheet.parameters, name);
    return html`
      ${this.verdictLine(false)}
      <div class="fields">
        ${this.linked.quote?.customer ? html`<p>For <strong>${this.linked.quote.customer}</strong>, as the quote says.</p>` : field("customer")} ${field("date")} ${field("by")} ${field("showPrice")}
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
    const link = notebookLink();
    const { href: address, title } = link;
    if (this.#page?.value !== value || this.#page.address !== address || this.#page.title !== title)
      this.#page = { value, address, title, page: jobSheetPage(value, link) };
    return this.#page.page;
  }

  static override styles = viewStyles;
}
