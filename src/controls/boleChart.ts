import type * as PlotModule from "@observablehq/plot";
import { html, LitElement, nothing, type PropertyValues, render } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import type { ChartOptions, ChartSize } from "../charts/chartTypes.ts";
import { type ChartAxes, chartAxes } from "./chartAxes.ts";
import type * as ChartFiles from "./chartFile.ts";
import { chartKey } from "./chartKey.ts";
import { chartMenu } from "./chartMenu.ts";
import { placeReading } from "./chartReading.ts";
import { chartStyles } from "./chartStyles.ts";
import { canSwipe, FingerGesture } from "./fingerGesture.ts";
import { intoSight } from "./intoSight.ts";
import { keyedValue } from "./keyedValue.ts";
import { controlStyles, tokens, unseen } from "./tokens.ts";

/** Makes the options of a chart for a given size; called again whenever it is replaced or the size changes. */
export type ChartDraw = (Plot: typeof PlotModule, size: ChartSize) => ChartOptions;

/** A picture lower than this tells nothing, px. */
const leastHeight = 100;
const lowHeight = 175;

let Plot: typeof PlotModule | undefined;

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
  /** leaves the visible words out where the cell says the same; they stay as its description */
  @property({ type: Boolean, attribute: "summary-hidden" }) summaryHidden = false;
  /** height of the picture, px */
  @property({ type: Number }) height = 300;
  /** height of picture and key where only these are wanted, px; 0: as `height` says */
  @property({ type: Number }) fit = 0;
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
  #width = 0;
  #visible = false;
  #stale = true;
  #drawn?: ChartAxes;
  #keyHeight = 0;
  #pointerX?: number;
  #pointerY?: number;
  readonly #gesture = new FingerGesture();
  /** what was picked when the gesture began */
  #pickedBefore?: number;
  #sizeObserver?: ResizeObserver;
  #sightObserver?: IntersectionObserver;

  override connectedCallback(): void {
    super.connectedCallback();
    window.addEventListener("beforeprint", this.#catchUp);
    if (this.hasUpdated) this.#watch();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    window.removeEventListener("beforeprint", this.#catchUp);
    this.#sizeObserver?.disconnect();
    this.#sightObserver?.disconnect();
    this.#visible = false;
  }

  protected override firstUpdated(): void {
    this.#watch();
  }

  #watch(): void {
    const picture = this.#piece("picture");
    const key = this.#piece("key");
    // Before anything is painted: the picture takes the room that its key leaves, so that nothing below moves.
    this.#sizeObserver = new ResizeObserver(() => {
      const [width, keyHeight] = [Math.floor(picture.clientWidth), this.#heightOf(key)];
      if (width === this.#width && keyHeight === this.#keyHeight) return;
      this.#width = width;
      this.#keyHeight = keyHeight;
      this.#stale = true;
      if (this.#visible) this.#catchUp();
    });
    this.#sizeObserver.observe(picture);
    this.#sizeObserver.observe(key);
    this.#sightObserver = new IntersectionObserver(
      (entries) => {
        this.#visible = entries[entries.length - 1].isIntersecting;
        if (this.#visible) this.#catchUp();
      },
      { rootMargin: "150px" },
    );
    this.#sightObserver.observe(this);
    void this.#load();
  }

  async #load(): Promise<void> {
    if (Plot === undefined) {
      try {
        Plot = await import("@observablehq/plot");
      } catch {
        this.#fail("The chart library could not be loaded. Check the connection and load the page again.");
        return;
      }
    }
    if (this.#visible) this.#catchUp();
  }

  protected override updated(changed: PropertyValues<this>): void {
    // The room is kept before anything is drawn, so that nothing below moves later.
    if (changed.has("height") || changed.has("fit")) {
      this.classList.toggle("fitted", this.fit > 0);
      this.classList.toggle("low", this.fit > 0 && this.fit < lowHeight);
      const height = `${this.#height}px`;
      this.#piece("room").style.minBlockSize = height;
      if (!this.#drawn) this.#piece("picture").style.minBlockSize = height;
    }
    if (changed.has("draw") || changed.has("height") || changed.has("fit")) {
      this.#stale = true;
      if (this.#visible) this.#catchUp();
    } else if (changed.has("picked") || changed.has("onPick") || changed.has("label")) this.#showPicked();
    if (changed.has("readOut")) this.#showReading();
  }

  /** Draws now, if something changed since the last drawing and all that is needed is there. */
  readonly #catchUp = (): void => {
    if (!this.#stale || Plot === undefined || this.draw === undefined || this.#width < 120) return;
    this.#stale = false;
    let picture: ReturnType<typeof PlotModule.plot>;
    try {
      let options = this.#options(Plot, this.draw);
      const key = this.#piece("key");
      render(chartKey(options.key ?? []), key);
      // The first picture leaves the key its room at once, so that nothing is pushed down by it.
      const isFirst = this.#drawn === undefined && options.key !== undefined;
      const keyHeight = isFirst ? this.#heightOf(key) : this.#keyHeight;
      if (keyHeight !== this.#keyHeight) {
        this.#keyHeight = keyHeight;
        options = this.#options(Plot, this.draw);
      }
      picture = Plot.plot(options);
    } catch (error) {
      this.#fail(`This chart could not be drawn: ${error instanceof Error ? error.message : String(error)}`);
      return;
    }
    // The picture's own style element would be refused by a strict content policy; its rules stand in `styles`.
    for (const style of picture.querySelectorAll("style")) style.remove();
    picture.setAttribute("aria-hidden", "true");
    this.#drawn = chartAxes(picture);
    this.#piece("picture").style.minBlockSize = "";
    this.#piece("picture").replaceChildren(picture);
    this.#showPicked();
    this.#showReading();
  };

  #options(library: typeof PlotModule, draw: ChartDraw): ChartOptions {
    const room = { width: this.#width, height: this.#height - this.#keyHeight };
    return draw(library, this.fit > 0 ? { ...room, compact: true } : room);
  }

  #fail(message: string): void {
    const words = document.createElement("p");
    words.className = "failure";
    words.textContent = message;
    this.#drawn = undefined;
    this.#piece("picture").replaceChildren(words);
    this.#piece("picture").setAttribute("aria-label", `${this.label}. ${message}`);
    this.#showReading();
  }

  /** Height of picture and key, px. */
  get #height(): number {
    if (!this.fit) return this.height;
    return Math.max(leastHeight, this.fit);
  }

  /** What the key takes of the height; in a low picture it stands beside it. */
  #heightOf(key: HTMLElement): number {
    return this.classList.contains("low") ? 0 : Math.ceil(key.offsetHeight);
  }

  #piece(name: string): HTMLElement {
    return this.renderRoot.querySelector<HTMLElement>(`.${name}`)!;
  }

  /** Keeps the place under a pointer event, in data units and inside the axes. */
  #point(event: PointerEvent): void {
    const box = this.#piece("picture").getBoundingClientRect();
    this.#pointerX = this.#drawn?.x(event.clientX - box.left);
    this.#pointerY = this.#drawn?.y?.(event.clientY - box.top);
  }

  #pick(value: number, live: boolean): void {
    if (!this.#drawn || !this.onPick) return;
    const { from, to } = this.#drawn;
    const step = this.pickStep;
    const rounded = step ? Number((Math.round(value / step) * step).toFixed(9)) : value;
    const next = Math.min(to, Math.max(from, rounded));
    if (next === this.picked) return;
    this.picked = next;
    this.onPick(next, live);
  }

  readonly #pressed = (event: PointerEvent): void => {
    if (event.button !== 0) return;
    this.#point(event);
    this.#showReading();
    if (this.#gesture.isUnderWay) return;
    const meaning = this.#gesture.press(event);
    this.#pickedBefore = this.picked;
    if (meaning !== "drag") return;
    // A mouse: a place is chosen where it is pressed.
    this.#takePlace();
    this.#drag(event);
  };

  readonly #moved = (event: PointerEvent): void => {
    this.#point(event);
    this.#showReading();
    if (this.#gesture.isUnderWay && this.#gesture.move(event) === "drag") this.#drag(event);
  };

  readonly #released = (event: PointerEvent): void => {
    if (!this.#gesture.isUnderWay) return;
    const { isTap, meaning } = this.#gesture.release(event);
    if (canSwipe(event) && meaning !== "scroll") this.#takePlace();
    if (isTap && this.#pointerX !== undefined) this.#pick(this.#pointerX, false);
    else if (meaning === "drag" && this.picked !== undefined) this.onPick?.(this.picked, false);
  };

  /** The gesture is not for us after all: what it has set so far goes back. */
  readonly #cancelled = (event: PointerEvent): void => {
    const before = this.#pickedBefore;
    const { meaning } = this.#gesture.release(event);
    if (meaning === "drag" && before !== undefined && this.onPick) {
      this.picked = before;
      this.onPick(before, false);
    }
    this.#pointerX = undefined;
    this.#showReading();
  };

  readonly #left = (event: PointerEvent): void => {
    this.#released(event);
    this.#pointerX = undefined;
    this.#showReading();
  };

  #drag(event: PointerEvent): void {
    if (!this.onPick || this.#pointerX === undefined) return;
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    this.#pick(this.#pointerX, true);
  }

  #takePlace(): void {
    if (this.#pointerX !== undefined && this.#pointerY !== undefined)
      this.onPlace?.(this.#pointerX, this.#pointerY);
  }

  readonly #keyed = (event: KeyboardEvent): void => {
    if (!this.#drawn) return;
    const { from, to } = this.#drawn;
    const step = this.pickStep ?? (to - from) / 100;
    const next = keyedValue(event.key, this.picked ?? from, { from, to, step });
    if (next === undefined) return;
    event.preventDefault();
    this.#pick(next, false);
  };

  #words(x: number): string {
    if (this.readPlace && this.#pointerY !== undefined) return this.readPlace(x, this.#pointerY);
    return this.readOut?.(x) ?? `${Number(x.toPrecision(3))}`;
  }

  /** Line and words at the pointer: two elements moved over the picture, which is not redrawn for them. */
  #showReading(): void {
    if (!this.hasUpdated) return;
    const line = this.#piece("line");
    const reading = this.#piece("reading");
    const drawn = this.#drawn;
    const pointerX = this.#pointerX;
    const shown =
      drawn !== undefined &&
      pointerX !== undefined &&
      (this.readOut ?? this.onPick ?? this.readPlace) !== undefined;
    line.hidden = !shown;
    reading.hidden = !shown;
    if (!shown) return;
    reading.textContent = this.#words(pointerX);
    placeReading(line, reading, drawn, drawn.place(pointerX), this.#width);
  }

  #showPicked(): void {
    const picture = this.#piece("picture");
    picture.setAttribute("aria-label", this.label);
    const handle = this.renderRoot.querySelector<HTMLElement>(".pick");
    const drawn = this.#drawn;
    if (!handle || !drawn) return;
    const value = this.picked ?? drawn.from;
    handle.setAttribute("aria-valuemin", `${drawn.from}`);
    handle.setAttribute("aria-valuemax", `${drawn.to}`);
    handle.setAttribute("aria-valuenow", `${value}`);
    handle.setAttribute("aria-valuetext", this.#words(value));
  }

  override render() {
    return html`
      <figure>
        <div class="head">
          ${this.labelHidden ? nothing : html`<figcaption aria-hidden="true">${this.label}</figcaption>`}
          <button
            class="save"
            aria-expanded=${this.saving}
            aria-label=${`Save this chart: ${this.label}`}
            @click=${() => (this.saving = !this.saving)}
          >Save…</button>
          ${
            this.saving
              ? chartMenu(
                  () => this.#forFile(),
                  this.table,
                  () => (this.saving = false),
                )
              : nothing
          }
        </div>
        <div class="room">
        <ul class="key" aria-hidden="true"></ul>
        <div class="stage">
          <div
            class="picture"
            role="img"
            aria-label=${this.label}
            aria-describedby=${this.summary ? "summary" : nothing}
            @pointerdown=${this.#pressed}
            @pointermove=${this.#moved}
            @pointerup=${this.#released}
            @pointercancel=${this.#cancelled}
            @pointerleave=${this.#left}
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
                  @pointerdown=${this.#pressed}
                  @pointermove=${this.#moved}
                  @pointerup=${this.#released}
                  @pointercancel=${this.#cancelled}
                  @pointerleave=${this.#left}
                  @focus=${intoSight}
                  @keydown=${this.#keyed}
                ></div>`
              : nothing
          }
          <div class="line" hidden></div>
          <div class="reading" aria-hidden="true" hidden></div>
        </div>
        </div>
        <p class=${this.summaryHidden ? "unseen" : "hint"} id="summary">${this.summary}</p>
      </figure>
    `;
  }

  #forFile() {
    const picture = this.renderRoot.querySelector<SVGElement>(".picture > svg");
    return { picture, key: this.#piece("key"), title: this.label, description: this.summary };
  }

  static override styles = [tokens, controlStyles, unseen, chartStyles];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-chart": BoleChart;
  }
}
