import { css, html, LitElement } from "lit";
import { customElement } from "lit/decorators.js";
import { tokens } from "./tokens.ts";

/** Side of the magnifier on the page, CSS px. */
export const magnifierSize = 148;
const zoomLeast = 2;

/** A round enlargement of what lies under a finger, with the circle that is being moved drawn in it. */
@customElement("bole-magnifier")
export class Magnifier extends LitElement {
  /**
   * Draw a place of a picture.
   *
   * @param circle in px of the picture   @param width width of the picture in those px
   * @param scale CSS px on the page for one px of the picture
   */
  show(
    image: HTMLImageElement,
    circle: { x: number; y: number; radius: number },
    width: number,
    scale: number,
  ): void {
    const canvas = this.renderRoot.querySelector("canvas");
    const context = canvas?.getContext("2d");
    if (!canvas || !context || !image.complete || image.naturalWidth === 0) return;
    const dense = Math.min(window.devicePixelRatio || 1, 3);
    const side = Math.round(magnifierSize * dense);
    if (canvas.width !== side) canvas.width = canvas.height = side;
    // At least twice as large as on the page, but the circle always fits in.
    const zoom = Math.min(Math.max(zoomLeast * scale, 2), (magnifierSize * 0.42) / circle.radius) * dense;
    const seen = side / zoom;
    // The picture may be shown from a file of another size than the one its circles are counted in.
    const own = image.naturalWidth / width;
    context.fillStyle = "#777";
    context.fillRect(0, 0, side, side);
    context.imageSmoothingEnabled = false;
    context.drawImage(
      image,
      (circle.x - seen / 2) * own,
      (circle.y - seen / 2) * own,
      seen * own,
      seen * own,
      0,
      0,
      side,
      side,
    );
    const middle = side / 2;
    for (const [colour, line] of [
      ["#000", 4],
      ["#fff", 2],
    ] as const) {
      context.strokeStyle = colour;
      context.lineWidth = line * dense;
      context.beginPath();
      context.arc(middle, middle, circle.radius * zoom, 0, 2 * Math.PI);
      context.stroke();
    }
  }

  protected override render() {
    return html`<canvas width="1" height="1" aria-hidden="true"></canvas>`;
  }

  static override styles = [
    tokens,
    css`
      :host {
        display: block;
        inline-size: 148px;
        block-size: 148px;
        border: 3px solid #fff;
        outline: 2px solid #000;
        border-radius: 50%;
        overflow: hidden;
        box-shadow: 0 2px 10px #0009;
        pointer-events: none;
      }
      canvas {
        display: block;
        inline-size: 100%;
        block-size: 100%;
      }
    `,
  ];
}
