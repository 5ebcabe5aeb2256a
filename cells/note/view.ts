import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { unsafeHTML } from "lit/directives/unsafe-html.js";
import { CellView } from "../../src/controls/cellView.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { note } from "./define.ts";

const tag = "bole-view-note";
export default tag;

/** Markdown as clean HTML: no scripts, no styles, no forms, no pictures from elsewhere. */
async function cleanHtml(text: string): Promise<string> {
  const [{ marked }, { default: DOMPurify }] = await Promise.all([import("marked"), import("dompurify")]);
  const raw = await marked.parse(text, { gfm: true });
  const clean = DOMPurify.sanitize(raw, {
    RETURN_DOM_FRAGMENT: true,
    FORBID_TAGS: [
      "style",
      "form",
      "input",
      "button",
      "textarea",
      "select",
      "img",
      "picture",
      "video",
      "audio",
      "svg",
      "math",
    ],
    FORBID_ATTR: ["style", "id", "name", "class", "target"],
  });
  // Beside the workbench, never in its place: what is open here, with changes on their way, stays.
  for (const link of clean.querySelectorAll("a[href], area[href]")) {
    link.setAttribute("target", "_blank");
    link.setAttribute("rel", "noopener noreferrer");
  }
  const holder = document.createElement("div");
  holder.append(clean);
  return holder.innerHTML;
}

@customElement(tag)
export class NoteView extends CellView<{ text: string }, { text: string }> {
  /** Clean HTML; the text itself where the renderer could not be loaded. */
  @state() private rendered: { html: string } | { plain: string } | undefined;
  @state() private editing = false;
  #shown: string | undefined;
  #cleaning: Promise<void> | undefined;

  protected override willUpdate(): void {
    const { text } = this.parameters;
    if (text === this.#shown) return;
    this.#shown = text;
    this.#cleaning = cleanHtml(text)
      .then((clean) => ({ html: clean }))
      .catch(() => ({ plain: text }))
      .then((rendered) => {
        if (this.#shown === text) this.rendered = rendered;
      });
  }

  /** The text belongs to it: what waits for this view waits for that too. */
  protected override async getUpdateComplete(): Promise<boolean> {
    await super.getUpdateComplete();
    await this.#cleaning;
    return super.getUpdateComplete();
  }

  protected override render() {
    if (this.rendered === undefined) return nothing; // all at once: nothing is pushed down by the text
    return html`
      ${
        this.editing || !this.parameters.text
          ? html`<div @focusin=${() => (this.editing = true)}>${parameterField(this, note.parameters, "text")}</div>`
          : html`<div class="text">${"html" in this.rendered ? unsafeHTML(this.rendered.html) : this.rendered.plain}</div>`
      }
      <button class="plain" @click=${() => (this.editing = !this.editing)}>${this.editing ? "Done" : "Edit the note"}</button>
    `;
  }

  static override styles = [
    ...viewStyles,
    css`
      :host {
        display: block;
        container-type: inline-size;
      }
      .text {
        max-width: 72ch;
      }
      /* Lines of a length that can be read: a long note stands in two columns where there is room. */
      @container (min-width: 820px) {
        .text:has(> :nth-child(3)) {
          max-width: none;
          columns: 2;
          column-gap: 32px;
        }
        .text > p,
        .text li {
          break-inside: avoid;
        }
      }
      .text > :first-child {
        margin-top: 0;
      }
      .text a {
        color: inherit;
      }
      .plain {
        padding-inline: 0;
      }
      @media print {
        button {
          display: none;
        }
      }
    `,
  ];
}
