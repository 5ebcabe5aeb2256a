import { css, html, LitElement, type PropertyValues } from "lit";
import { customElement, property, query, state } from "lit/decorators.js";
import { emit } from "./emit.ts";
import { type Magnifier, magnifierSize } from "./magnifier.ts";
import "./magnifier.ts";
import { controlStyles, tokens } from "./tokens.ts";

/** A circle laid over a picture, in px of the picture. */
export interface PlacedCircle {
  readonly id: string;
  /** one or two signs shown in it */
  readonly mark: string;
  readonly label: string;
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  /** it cannot be used as it lies */
  readonly refused?: boolean;
}

/** A circle in another place or of another size. */
export interface MovedCircle {
  readonly id: string;
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  /** while the gesture goes on */
  readonly live: boolean;
}

const smallest = 4;

/**
 * A picture with circles that can be dragged by finger, mouse or keys. While one moves, a magnifier above the finger
 * shows what lies under it. A press on the bare picture brings the chosen circle there.
 *
 * Keys on a circle: arrows move it (with Shift ten times as far), + and − change its size, Delete removes it.
 *
 * @fires move - CustomEvent<MovedCircle>
 * @fires choose - CustomEvent<{id: string}>
 * @fires remove - CustomEvent<{id: string}>
 */
@customElement("bole-photo-circles")
export class PhotoCircles extends LitElement {
  @property() label = "Photograph";
  /** address of the picture */
  @property() src = "";
  /** size of the picture in which circles are counted */
  @property({ type: Number }) width = 1;
  @property({ type: Number }) height = 1;
  @property({ attribute: false }) circles: readonly PlacedCircle[] = [];
  /** id of the circle that keys, presses on the picture and the size buttons move */
  @property() chosen = "";
  /** CSS px on the page for one px of the picture */
  @state() private scale = 0;
  @state() private lens: { x: number; y: number } | undefined;
  @query(".stage") private stage!: HTMLElement;
  @query("img") private image!: HTMLImageElement;
  @query("bole-magnifier") private magnifier!: Magnifier;
  /** Where the gesture began, on the screen and in the picture: the page may move under the finger meanwhile. */
  #dragged:
    | { id: string; clientX: number; clientY: number; from: PlacedCircle; last: PlacedCircle }
    | undefined;
  #sizes: ResizeObserver | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    if (this.hasUpdated) this.#watch();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#sizes?.disconnect();
  }

  protected override firstUpdated(): void {
    this.#watch();
  }

  #watch(): void {
    this.#sizes = new ResizeObserver(([entry]) => {
      if (entry.contentRect.width > 0) this.scale = entry.contentRect.width / this.width;
    });
    this.#sizes.observe(this.stage);
  }

  protected override updated(changed: PropertyValues): void {
    if (changed.has("width") && this.stage.clientWidth > 0) this.scale = this.stage.clientWidth / this.width;
    this.stage.style.aspectRatio = `${this.width} / ${this.height}`;
    if (this.lens) this.#showLens();
  }

  protected override render() {
    return html`
      <div class="stage" role="group" aria-label=${`Circles on: ${this.label}`}>
        <img
          src=${this.src}
          alt=${this.label}
          draggable="false"
          @click=${this.#pressedPicture}
        />
        ${this.scale > 0 ? this.circles.map((circle) => this.#circle(circle)) : ""}
        <bole-magnifier ?hidden=${!this.lens}></bole-magnifier>
      </div>
      <p class="hint" id="how">
        Drag the circles, or press the picture to bring the chosen one there. Keys: arrows move, Shift goes further, + and −
        change the size, Delete removes.
      </p>
    `;
  }

  #circle(circle: PlacedCircle) {
    const { scale } = this;
    // Never smaller than a fingertip, however small the ring is.
    const reach = Math.max(2 * circle.radius * scale, 48);
    const ring = 2 * circle.radius * scale;
    const chosen = circle.id === this.chosen;
    const shownMark = circle.refused ? `${circle.mark}!` : circle.mark;
    return html`<button
      type="button"
      class=${`circle${chosen ? " chosen" : ""}${circle.refused ? " refused" : ""}`}
      .style=${`left:${circle.x * scale - reach / 2}px;top:${circle.y * scale - reach / 2}px;width:${reach}px;height:${reach}px`}
      aria-label=${`${shownMark}: ${circle.label}, at ${Math.round(circle.x)}, ${Math.round(circle.y)}, radius ${Math.round(circle.radius)} px${circle.refused ? ", cannot be used there" : ""}`}
      aria-pressed=${chosen}
      aria-describedby="how"
      @pointerdown=${(event: PointerEvent) => this.#pressed(event, circle)}
      @pointermove=${(event: PointerEvent) => this.#moved(event)}
      @pointerup=${() => this.#released()}
      @pointercancel=${() => this.#released()}
      @keydown=${(event: KeyboardEvent) => this.#keyed(event, circle)}
      @focus=${() => emit(this, "choose", { id: circle.id })}
      @blur=${() => (this.lens = undefined)}
    >
      <span class="ring" .style=${`width:${ring}px;height:${ring}px`}></span>
      <span class="mark" aria-hidden="true">${shownMark}</span>
    </button>`;
  }

  #pressed(event: PointerEvent, circle: PlacedCircle): void {
    if (event.button !== 0) return;
    const { clientX, clientY } = event;
    this.#dragged = { id: circle.id, clientX, clientY, from: circle, last: circle };
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    (event.currentTarget as HTMLElement).focus();
    this.#place(circle);
  }

  #moved(event: PointerEvent): void {
    const dragged = this.#dragged;
    if (!dragged) return;
    const { from, clientX, clientY } = dragged;
    const x = from.x + (event.clientX - clientX) / this.scale;
    const y = from.y + (event.clientY - clientY) / this.scale;
    dragged.last = this.#move(from, x, y, from.radius, true);
  }

  /** A gesture that the system breaks off ends where it had come to. */
  #released(): void {
    const dragged = this.#dragged;
    this.#dragged = undefined;
    this.lens = undefined;
    if (!dragged || dragged.last === dragged.from) return;
    const { x, y, radius } = dragged.last;
    this.#move(dragged.from, x, y, radius, false);
    this.lens = undefined;
  }

  readonly #pressedPicture = (event: MouseEvent): void => {
    const circle = this.circles.find(({ id }) => id === this.chosen);
    if (!circle) return;
    const { x, y } = this.#placeOf(event);
    this.#move(circle, x, y, circle.radius, false);
    this.lens = undefined;
  };

  #keyed(event: KeyboardEvent, circle: PlacedCircle): void {
    const step = Math.max(1, Math.round(this.width / 400)) * (event.shiftKey ? 10 : 1);
    const { x, y, radius } = circle;
    const grow = 1.15;
    const next = {
      ArrowLeft: [x - step, y, radius],
      ArrowRight: [x + step, y, radius],
      ArrowUp: [x, y - step, radius],
      ArrowDown: [x, y + step, radius],
      "+": [x, y, radius * grow],
      "=": [x, y, radius * grow],
      "-": [x, y, radius / grow],
    }[event.key];
    if (next) {
      event.preventDefault();
      this.#move(circle, next[0], next[1], next[2], false);
    } else if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      emit(this, "remove", { id: circle.id });
    }
  }

  /** Change the size of the chosen circle. */
  resize(factor: number): void {
    const circle = this.circles.find(({ id }) => id === this.chosen);
    if (circle) this.#move(circle, circle.x, circle.y, circle.radius * factor, false);
    this.lens = undefined;
  }

  /** Kept whole inside the picture, as only whole circles can be sampled. */
  #move(circle: PlacedCircle, x: number, y: number, radius: number, live: boolean): PlacedCircle {
    const widest = Math.min(this.width, this.height) / 2;
    const kept = Math.min(Math.max(radius, smallest), widest);
    const tenth = (value: number) => Math.round(value * 10) / 10;
    const inside = (value: number, size: number) => tenth(Math.min(Math.max(value, kept), size - kept));
    const at = { x: inside(x, this.width), y: inside(y, this.height) };
    // Rounding must not push a circle over the edge.
    const room = Math.min(at.x, at.y, this.width - at.x, this.height - at.y);
    const next = { ...circle, ...at, radius: Math.min(tenth(kept), room) };
    this.#place(next);
    emit<MovedCircle>(this, "move", { id: next.id, ...at, radius: next.radius, live });
    return next;
  }

  /** Puts the magnifier above the circle, or beside it where there is no room above. */
  #place({ x, y, radius }: { x: number; y: number; radius: number }): void {
    const { scale } = this;
    const reach = Math.max(radius * scale, 24) + 22;
    const at = { x: x * scale, y: y * scale };
    const full = { width: this.width * scale, height: this.height * scale };
    const half = magnifierSize / 2;
    const above = at.y - reach - magnifierSize;
    // On the page it may stand a little over the upper edge of the picture.
    if (above > -half) this.lens = { x: clamp(at.x - half, 0, full.width - magnifierSize), y: above };
    else {
      const left = at.x > full.width / 2;
      this.lens = {
        x: left ? at.x - reach - magnifierSize : at.x + reach,
        y: clamp(at.y - half, -half, full.height - half),
      };
    }
  }

  #showLens(): void {
    const circle = this.circles.find(({ id }) => id === this.chosen);
    if (!circle || !this.lens) return;
    this.magnifier.style.translate = `${this.lens.x}px ${this.lens.y}px`;
    this.magnifier.show(this.image, circle, this.width, this.scale);
  }

  #placeOf(event: MouseEvent): { x: number; y: number } {
    const box = this.stage.getBoundingClientRect();
    return { x: (event.clientX - box.left) / this.scale, y: (event.clientY - box.top) / this.scale };
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      .stage {
        position: relative;
        inline-size: 100%;
        max-inline-size: 900px;
        background: var(--bole-surround);
      }
      img {
        display: block;
        inline-size: 100%;
        block-size: 100%;
        forced-color-adjust: none;
        cursor: crosshair;
      }
      .circle {
        position: absolute;
        display: grid;
        place-items: center;
        min-inline-size: 0;
        min-block-size: 0;
        padding: 0;
        border: none;
        background: transparent;
        border-radius: 50%;
        cursor: grab;
        /* A finger on a circle moves it; elsewhere on the picture it scrolls the page. */
        touch-action: none;
      }
      .circle:active {
        background: transparent;
        cursor: grabbing;
      }
      .circle > * {
        grid-area: 1 / 1;
      }
      .ring {
        border: 2px solid #fff;
        outline: 2px solid #000;
        border-radius: 50%;
        forced-color-adjust: none;
      }
      .chosen .ring {
        border-width: 4px;
        outline-width: 3px;
      }
      .refused .ring {
        border-style: dashed;
      }
      .mark {
        min-inline-size: 1.5em;
        padding: 0 0.25em;
        border-radius: 0.8em;
        background: #000;
        color: #fff;
        font-size: 1rem;
        line-height: 1.5;
        font-weight: 700;
        /* On the ring's upper edge, so that the inside stays clear. */
        align-self: start;
        translate: 0 -50%;
        forced-color-adjust: none;
      }
      .circle:focus-visible {
        outline: 3px dashed #fff;
        outline-offset: 3px;
        box-shadow: 0 0 0 9px #000;
      }
      bole-magnifier {
        position: absolute;
        inset: 0 auto auto 0;
        z-index: 2;
      }
      bole-magnifier[hidden] {
        display: none;
      }
    `,
  ];
}

function clamp(value: number, least: number, most: number): number {
  return Math.min(Math.max(value, least), Math.max(most, least));
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-photo-circles": PhotoCircles;
  }
}
