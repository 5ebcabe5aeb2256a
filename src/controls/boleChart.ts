import type * as PlotModule from "@observablehq/plot";
import { css, html, LitElement, nothing, type PropertyValues } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import type * as ChartFiles from "./chartFile.ts";
import { controlStyles, tokens } from "./tokens.ts";

/** Makes the options of a chart for a given size; called again whenever it is replaced or the size changes. */
export type ChartDraw = (
  Plot: typeof PlotModule,
  size: { width: number; height: number },
) => PlotModule.PlotOptions;

let Plot: typeof PlotModule | undefined;

/** Where the drawn chart's axes lie. */
interface Drawn {
  invert: (x: number) => number;
  /** undefined where the upright axis cannot be read back */
  invertY: ((y: number) => number) | undefined;
  apply: (value: number) => number;
  from: number;
  to: number;
  top: number;
  bottom: number;
}

/**
 * Holds a chart. Loads the chart library when first needed, redraws in the frame in which `draw` changes, and waits
 * while it is out of sight. The picture has `label` as its name and `summary` as its description; nothing of the
 * chart's inner marks is read aloud.
 */
@customElement("bole-chart")
export class BoleChart extends LitElement {
  @property() label = "";
  /** what the chart shows, in words; stands under it */
  @property() summary = "";
  /** height of the picture, px */
  @property({ type: Number }) height = 300;
  /** leaves the visible title out; the accessible name stays */
  @property({ type: Boolean, attribute: "label-hidden" }) labelHidden = false;
  @property({ attribute: false }) draw?: ChartDraw;
  /** words for the place under the pointer, x in data units; without it there is no read-out unless `onPick` is set */
  @property({ attribute: false }) readOut?: (x: number) => string;
  /** called with x in data units: `live` while the pointer drags, not `live` when it lets go and for keys */
  @property({ attribute: false }) onPick?: (x: number, live: boolean) => void;
  /** for maps: words for a place, and called with x and y in data units when a place is pressed */
  @property({ attribute: false }) readPlace?: (x: number, y: number) => string;
  @property({ attribute: false }) onPlace?: (x: number, y: number) => void;
  /** the value now picked, for the keyboard and for screen readers */
  @property({ type: Number }) picked?: number;
  /** picks are rounded to whole steps; left out, they are free and a key moves by a hundredth of the axis */
  @property({ type: Number, attribute: "pick-step" }) pickStep?: number;

  /** the numbers behind the chart, for saving them; without it only the picture can be saved */
  @property({ attribute: false }) table?: () => ChartFiles.ChartTable;

  @state() private saving = false;
  private width = 0;
  private visible = false;
  private stale = true;
  private drawn?: Drawn;
  private pointerX?: number;
  private pointerY?: number;
  private dragging = false;
  private sizeObserver?: ResizeObserver;
  private sightObserver?: IntersectionObserver;

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener("beforeprint", this.catchUp);
    if (this.hasUpdated) this.watch();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener("beforeprint", this.catchUp);
    this.sizeObserver?.disconnect();
    this.sightObserver?.disconnect();
    this.visible = false;
  }

  protected override firstUpdated(): void {
    this.watch();
  }

  private watch(): void {
    this.sizeObserver = new ResizeObserver((entries) => {
      const width = Math.floor(entries[entries.length - 1].contentRect.width);
      if (width === this.width) return;
      this.width = width;
      this.stale = true;
      if (this.visible) this.catchUp();
    });
    this.sizeObserver.observe(this.piece("picture"));
    this.sightObserver = new IntersectionObserver(
      (entries) => {
        this.visible = entries[entries.length - 1].isIntersecting;
        if (this.visible) this.catchUp();
      },
      { rootMargin: "150px" },
    );
    this.sightObserver.observe(this);
    void this.load();
  }

  private async load(): Promise<void> {
    if (Plot === undefined) {
      try {
        Plot = await import("@observablehq/plot");
      } catch {
        this.fail("The chart library could not be loaded. Check the connection and load the page again.");
        return;
      }
    }
    if (this.visible) this.catchUp();
  }

  protected override updated(changed: PropertyValues<this>): void {
    // The room is kept before anything is drawn, so that nothing below moves later.
    if (changed.has("height")) this.piece("picture").style.minBlockSize = `${this.height}px`;
    if (changed.has("draw") || changed.has("height")) {
      this.stale = true;
      if (this.visible) this.catchUp();
    } else if (changed.has("picked") || changed.has("onPick") || changed.has("label")) this.showPicked();
    if (changed.has("readOut")) this.showReading();
  }

  /** Draws now, if something changed since the last drawing and all that is needed is there. */
  private readonly catchUp = (): void => {
    if (!this.stale || Plot === undefined || this.draw === undefined || this.width < 40) return;
    this.stale = false;
    let picture: ReturnType<typeof PlotModule.plot>;
    try {
      picture = Plot.plot(this.draw(Plot, { width: this.width, height: this.height }));
    } catch (error) {
      this.fail(`This chart could not be drawn: ${error instanceof Error ? error.message : String(error)}`);
      return;
    }
    // The picture's own style element would be refused by a strict content policy; its rules stand in `styles`.
    for (const style of picture.querySelectorAll("style")) style.remove();
    picture.setAttribute("aria-hidden", "true");
    const x = picture.scale("x");
    const y = picture.scale("y");
    if (x?.invert && x.domain && x.range && y?.range) {
      const [from, to] = [...x.domain] as number[];
      const edges = [...y.range] as number[];
      this.drawn = {
        invert: x.invert,
        invertY: y.invert,
        apply: x.apply,
        from,
        to,
        top: Math.min(...edges),
        bottom: Math.max(...edges),
      };
    } else this.drawn = undefined;
    this.piece("picture").replaceChildren(picture);
    this.showPicked();
    this.showReading();
  };

  private fail(message: string): void {
    const words = document.createElement("p");
    words.className = "failure";
    words.textContent = message;
    this.drawn = undefined;
    this.piece("picture").replaceChildren(words);
    this.piece("picture").setAttribute("aria-label", `${this.label}. ${message}`);
    this.showReading();
  }

  private piece(name: string): HTMLElement {
    return this.renderRoot.querySelector<HTMLElement>(`.${name}`)!;
  }

  /** Value under a pointer event, kept inside the axis. */
  private valueAt(event: PointerEvent): number | undefined {
    if (!this.drawn) return undefined;
    const { invert, from, to } = this.drawn;
    const box = this.piece("picture").getBoundingClientRect();
    return Math.min(to, Math.max(from, invert(event.clientX - box.left)));
  }

  /** The same along the upright axis. */
  private heightAt(event: PointerEvent): number | undefined {
    if (!this.drawn?.invertY) return undefined;
    const { invertY, top, bottom } = this.drawn;
    const box = this.piece("picture").getBoundingClientRect();
    return invertY(Math.min(bottom, Math.max(top, event.clientY - box.top)));
  }

  private pick(value: number, live: boolean): void {
    if (!this.drawn || !this.onPick) return;
    const { from, to } = this.drawn;
    const step = this.pickStep;
    const rounded = step ? Number((Math.round(value / step) * step).toFixed(9)) : value;
    const next = Math.min(to, Math.max(from, rounded));
    if (next === this.picked) return;
    this.picked = next;
    this.onPick(next, live);
  }

  private readonly pressed = (event: PointerEvent): void => {
    if (event.button !== 0) return;
    const value = this.valueAt(event);
    if (value === undefined) return;
    this.pointerX = value;
    this.pointerY = this.heightAt(event);
    this.showReading();
    if (this.pointerY !== undefined) this.onPlace?.(value, this.pointerY);
    if (!this.onPick) return;
    this.dragging = true;
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    this.pick(value, true);
  };

  private readonly moved = (event: PointerEvent): void => {
    this.pointerX = this.valueAt(event);
    this.pointerY = this.heightAt(event);
    this.showReading();
    if (this.dragging && this.pointerX !== undefined) this.pick(this.pointerX, true);
  };

  private readonly released = (): void => {
    if (!this.dragging) return;
    this.dragging = false;
    if (this.picked !== undefined) this.onPick?.(this.picked, false);
  };

  private readonly left = (): void => {
    this.released();
    this.pointerX = undefined;
    this.showReading();
  };

  private readonly keyed = (event: KeyboardEvent): void => {
    if (!this.drawn) return;
    const { from, to } = this.drawn;
    const step = this.pickStep ?? (to - from) / 100;
    const now = this.picked ?? from;
    const next = {
      ArrowRight: now + step,
      ArrowUp: now + step,
      ArrowLeft: now - step,
      ArrowDown: now - step,
      PageUp: now + 10 * step,
      PageDown: now - 10 * step,
      Home: from,
      End: to,
    }[event.key];
    if (next === undefined) return;
    event.preventDefault();
    this.pick(next, false);
  };

  private words(x: number): string {
    if (this.readPlace && this.pointerY !== undefined) return this.readPlace(x, this.pointerY);
    return this.readOut?.(x) ?? `${Number(x.toPrecision(3))}`;
  }

  /** Line and words at the pointer: two elements moved over the picture, which is not redrawn for them. */
  private showReading(): void {
    if (!this.hasUpdated) return;
    const line = this.piece("line");
    const reading = this.piece("reading");
    const { drawn, pointerX } = this;
    const shown =
      drawn !== undefined &&
      pointerX !== undefined &&
      (this.readOut ?? this.onPick ?? this.readPlace) !== undefined;
    line.hidden = !shown;
    reading.hidden = !shown;
    if (!shown) return;
    const x = drawn.apply(pointerX);
    line.style.translate = `${x}px ${drawn.top}px`;
    line.style.blockSize = `${drawn.bottom - drawn.top}px`;
    reading.textContent = this.words(pointerX);
    // On the side with more room, so that the words never leave the picture.
    const rightHalf = x > this.width / 2;
    reading.style.insetInlineStart = rightHalf ? "auto" : `${x + 8}px`;
    reading.style.insetInlineEnd = rightHalf ? `${this.width - x + 8}px` : "auto";
    reading.style.insetBlockStart = `${drawn.top + 4}px`;
    reading.style.maxInlineSize = `${Math.max(x, this.width - x) - 12}px`;
  }

  private showPicked(): void {
    const picture = this.piece("picture");
    picture.setAttribute("aria-label", this.label);
    const handle = this.renderRoot.querySelector<HTMLElement>(".pick");
    const { drawn } = this;
    if (!handle || !drawn) return;
    const value = this.picked ?? drawn.from;
    handle.setAttribute("aria-valuemin", `${drawn.from}`);
    handle.setAttribute("aria-valuemax", `${drawn.to}`);
    handle.setAttribute("aria-valuenow", `${value}`);
    handle.setAttribute("aria-valuetext", this.words(value));
  }

  override render() {
    return html`
      <figure>
        ${this.labelHidden ? nothing : html`<figcaption aria-hidden="true">${this.label}</figcaption>`}
        <div class="stage">
          <div
            class="picture"
            role="img"
            aria-label=${this.label}
            aria-describedby=${this.summary ? "summary" : nothing}
            @pointerdown=${this.pressed}
            @pointermove=${this.moved}
            @pointerleave=${this.left}
          ></div>
          ${
            this.onPick
              ? html`<div
                  class="pick"
                  role="slider"
                  tabindex="0"
                  aria-label="${this.label}: choose on the axis"
                  aria-valuemin="0"
                  aria-valuemax="1"
                  aria-valuenow="0"
                  @pointerdown=${this.pressed}
                  @pointermove=${this.moved}
                  @pointerup=${this.released}
                  @pointercancel=${this.left}
                  @pointerleave=${this.left}
                  @keydown=${this.keyed}
                ></div>`
              : nothing
          }
          <div class="line" hidden></div>
          <div class="reading" aria-hidden="true" hidden></div>
        </div>
        <div class="foot">
          <p class="hint" id="summary">${this.summary}</p>
          <button
            class="save"
            aria-expanded=${this.saving}
            aria-label=${`Save this chart: ${this.label}`}
            @click=${() => (this.saving = !this.saving)}
          >Save…</button>
          ${this.saving ? this.saveMenu() : nothing}
        </div>
      </figure>
    `;
  }

  private saveMenu() {
    const { table, label, summary } = this;
    const save = (way: (files: typeof ChartFiles, picture: SVGElement) => unknown) => async () => {
      this.saving = false;
      const picture = this.renderRoot.querySelector<SVGElement>(".picture > svg, .picture > figure > svg");
      if (picture) await way(await import("./chartFile.ts"), picture);
    };
    return html`<div class="ways" role="group" aria-label="Save this chart as">
      <button @click=${save((files, picture) => files.saveSvg(picture, label, summary))}>Picture (SVG)</button>
      <button @click=${save((files, picture) => files.savePng(picture, label, summary))}>Picture (PNG)</button>
      ${table ? html`<button @click=${save((files) => files.saveTable(table(), label))}>Numbers (CSV)</button>` : nothing}
    </div>`;
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      figure {
        margin: 0;
      }
      figcaption {
        font-weight: 700;
        margin-block-end: 0.3rem;
      }
      .stage {
        position: relative;
      }
      .foot {
        display: flex;
        flex-wrap: wrap;
        gap: 0 0.75rem;
        align-items: start;
      }
      .foot .hint {
        flex: 1;
        margin: 0.3rem 0 0;
        /* Words that follow a slider keep their room. */
        min-block-size: 2lh;
      }
      .save {
        border: none;
        background: none;
        padding: 0 0.3rem;
        font-weight: 400;
        font-size: var(--bole-text-small);
        text-decoration: underline;
        color: var(--bole-ink-soft);
      }
      .ways {
        flex-basis: 100%;
        display: flex;
        flex-wrap: wrap;
        gap: 0.5rem;
        justify-content: end;
      }
      @media print {
        .save,
        .ways {
          display: none;
        }
      }
      .picture {
        overflow: hidden;
        touch-action: pan-y;
      }
      .picture svg {
        display: block;
        max-inline-size: 100%;
      }
      .picture text {
        white-space: pre;
      }
      .pick {
        position: absolute;
        inset: 0;
        cursor: ew-resize;
        touch-action: pan-y;
        border-radius: var(--bole-radius);
      }
      .line {
        position: absolute;
        inset: 0 auto auto 0;
        inline-size: 0;
        border-inline-start: 2px solid var(--bole-ink);
        pointer-events: none;
      }
      .reading {
        position: absolute;
        padding: 0.15rem 0.5rem;
        border: 1.5px solid var(--bole-ink);
        border-radius: var(--bole-radius);
        background: var(--bole-paper);
        font-size: var(--bole-text-small);
        font-variant-numeric: tabular-nums;
        white-space: pre-line;
        inline-size: max-content;
        pointer-events: none;
      }
      .failure {
        margin: 0;
        padding: 0.7rem 0.9rem;
        border: 1.5px solid var(--bole-alarm);
        border-inline-start-width: 6px;
        border-radius: var(--bole-radius);
        overflow-wrap: anywhere;
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-chart": BoleChart;
  }
}
