import { css, html, LitElement } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { unsafeHTML } from "lit/directives/unsafe-html.js";
import { saveText } from "./saveFile.ts";
import { controlStyles, tokens } from "./tokens.ts";

/** A printable page as plain strings; its maker has escaped every text in it. */
interface PaperPage {
  readonly html: string;
  readonly styles: string;
}

/** Width of a page with a narrow edge of paper, px: 186 mm are printed. */
const pageWidth = (186 / 25.4) * 96 + 12;

/**
 * A page as it will be printed, with buttons to print it alone and to save it as a file of its own. Its styles come as a
 * style sheet object, which a strict content policy allows.
 */
@customElement("bole-paper")
export class BolePaper extends LitElement {
  /** name of the page, for its buttons, its print-out and its file */
  @property() label = "";
  @property({ attribute: false }) page: PaperPage = { html: "", styles: "" };
  /** the page as a file of its own */
  @property({ attribute: false }) makeFile?: () => string;
  /** name of that file */
  @property({ attribute: "file-name" }) fileName = "page.html";

  /** how far the page is made smaller to fit the screen, and whether a person wants to read it all the same */
  @state() private scale = 1;
  @state() private enlarged = false;

  readonly #sheet = new CSSStyleSheet();
  // Of an element without height: the desk itself grows and shrinks with the scale that it is asked for.
  readonly #room = new ResizeObserver(([entry]) => {
    this.scale = Math.min(1, entry.contentRect.width / pageWidth);
  });

  override connectedCallback(): void {
    super.connectedCallback();
    const root = this.renderRoot as ShadowRoot;
    if (!root.adoptedStyleSheets.includes(this.#sheet))
      root.adoptedStyleSheets = [...root.adoptedStyleSheets, this.#sheet];
    if (this.hasUpdated) this.#room.observe(root.querySelector(".width")!);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#room.disconnect();
  }

  protected override firstUpdated(): void {
    this.#room.observe(this.renderRoot.querySelector(".width")!);
  }

  protected override updated(): void {
    // Through the style object: a style attribute would be refused by a strict content policy.
    const sheet = this.renderRoot.querySelector<HTMLElement>(".sheet")!;
    sheet.style.setProperty("zoom", this.enlarged ? "1" : String(this.scale));
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (changed.has("page")) this.#sheet.replaceSync(this.page.styles);
  }

  protected override render() {
    return html`
      <div class="row">
        <button type="button" @click=${() => void this.print()}>Print ${this.label}</button>
        ${this.makeFile ? html`<button type="button" @click=${() => this.save()}>Save ${this.label} as a file</button>` : ""}
        ${
          this.scale < 0.95
            ? html`<button type="button" aria-pressed=${this.enlarged} @click=${() => (this.enlarged = !this.enlarged)}>
                Show it in full size
              </button>`
            : ""
        }
      </div>
      <div class="desk" role="region" aria-label=${`${this.label}, as it will be printed`} tabindex="0">
        <div class="width"></div>
        <div class="sheet">${unsafeHTML(this.page.html)}</div>
      </div>
    `;
  }

  /** Prints the page alone, through a frame that holds nothing else. Settles when the print dialogue is closed. */
  async print(): Promise<void> {
    const frame = document.createElement("iframe");
    frame.title = this.label;
    frame.setAttribute("aria-hidden", "true");
    Object.assign(frame.style, {
      position: "fixed",
      inlineSize: "220mm",
      blockSize: "300mm",
      insetInlineStart: "-400mm",
      border: "0",
    });
    document.body.append(frame);
    try {
      const inside = frame.contentWindow as (Window & typeof globalThis) | null;
      if (!inside) return;
      // A frame begins as a page without a doctype: there the body would fill the paper and push the page onto a second.
      inside.document.open();
      inside.document.write("<!doctype html>");
      inside.document.close();
      const sheet = new inside.CSSStyleSheet();
      sheet.replaceSync(`html { background: #fff; } body { margin: 0; } ${this.page.styles}`);
      inside.document.adoptedStyleSheets = [sheet];
      inside.document.title = this.label;
      inside.document.body.innerHTML = this.page.html;
      await inside.document.fonts.ready;
      inside.focus();
      inside.print();
    } finally {
      frame.remove();
    }
  }

  /** Hands the page over as a file. */
  save(): void {
    if (this.makeFile) saveText(this.fileName, this.makeFile(), "text/html");
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 0.6rem;
        margin-block: 0.6rem;
      }
      .desk {
        overflow-x: auto;
        background: var(--bole-surround);
        padding: 8px;
        container-type: inline-size;
      }
      .sheet {
        background: #fff;
        /* a border of paper around the printed width of 186 mm, as far as there is room */
        padding: clamp(6px, (100cqi - 186mm) / 2, 8mm);
        inline-size: max-content;
        margin-inline: auto;
      }
      @media print {
        .row {
          display: none;
        }
        .desk {
          padding: 0;
          background: none;
          overflow: visible;
        }
        .sheet {
          padding: 0;
          zoom: 1 !important;
        }
      }
    `,
  ];
}
