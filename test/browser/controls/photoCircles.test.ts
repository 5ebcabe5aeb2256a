import axe from "axe-core";
import { html, render } from "lit";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { page, userEvent } from "vitest/browser";
import type { MovedCircle, PhotoCircles, PlacedCircle } from "../../../src/controls/photoCircles.ts";
import "../../../src/controls/photoCircles.ts";
import { tokens } from "../../../src/controls/tokens.ts";

const width = 400;
const height = 200;
const circles: PlacedCircle[] = [
  { id: "card", mark: "G1", label: "Grey card", x: 100, y: 100, radius: 30 },
  { id: "part", mark: "P1", label: "Seat", x: 300, y: 60, radius: 5 },
];

let place: HTMLElement;
let moves: MovedCircle[];

function picture(): string {
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  const context = canvas.getContext("2d")!;
  context.fillStyle = "rgb(180,30,40)";
  context.fillRect(0, 0, width, height);
  return canvas.toDataURL("image/png");
}

beforeEach(async () => {
  await page.viewport(820, 700);
  const sheet = document.createElement("style");
  sheet.textContent = tokens.cssText;
  document.head.append(sheet);
  place = document.body.appendChild(document.createElement("main"));
  moves = [];
});

afterEach(() => {
  render(html``, place);
  place.remove();
});

/** Shows the circles, and lets them follow what they ask for, as a cell does. */
async function show(src = picture()): Promise<PhotoCircles> {
  let shown = circles;
  let chosen = "";
  const draw = () =>
    render(
      html`<bole-photo-circles
        label="seat.jpg"
        .src=${src}
        .width=${width}
        .height=${height}
        .circles=${shown}
        .chosen=${chosen}
        @move=${({ detail }: CustomEvent<MovedCircle>) => {
          moves.push(detail);
          shown = shown.map((circle) => (circle.id === detail.id ? { ...circle, ...detail } : circle));
          draw();
        }}
        @choose=${({ detail }: CustomEvent<{ id: string }>) => {
          chosen = detail.id;
          draw();
        }}
        @remove=${({ detail }: CustomEvent<{ id: string }>) => {
          shown = shown.filter(({ id }) => id !== detail.id);
          draw();
        }}
      ></bole-photo-circles>`,
      place,
    );
  draw();
  const control = place.querySelector("bole-photo-circles")!;
  await control.updateComplete;
  await expect.poll(() => control.shadowRoot!.querySelectorAll("button").length).toBe(2);
  return control;
}

const button = (control: PhotoCircles, name: string) =>
  [...control.shadowRoot!.querySelectorAll("button")].find((one) =>
    one.getAttribute("aria-label")!.includes(`: ${name}, at`),
  )!;
const lens = (control: PhotoCircles) =>
  control.shadowRoot!.querySelector<HTMLElement & { renderRoot: ShadowRoot }>("bole-magnifier")!;

describe("circles on a picture", () => {
  test("keys move, enlarge, shrink and remove the circle in focus", async () => {
    const control = await show();
    button(control, "Grey card").focus();
    await userEvent.keyboard("{ArrowRight}{ArrowDown}{Shift>}{ArrowLeft}{/Shift}+-");
    const last = moves.at(-1)!;
    expect(last).toMatchObject({ id: "card", x: 91, y: 101, live: false });
    expect(last.radius).toBeCloseTo(30, 0);
    expect(moves.find(({ radius }) => radius > 34)).toBeDefined();
    await userEvent.keyboard("{Delete}");
    await expect.poll(() => control.shadowRoot!.querySelectorAll("button.circle").length).toBe(1);
  });

  test("no circle leaves the picture or outgrows it", async () => {
    const control = await show();
    button(control, "Seat").focus();
    await userEvent.keyboard(
      `{Shift>}${"{ArrowUp}".repeat(12)}${"{ArrowRight}".repeat(30)}{/Shift}${"+".repeat(45)}`,
    );
    for (const { x, y, radius } of moves) {
      expect(x - radius).toBeGreaterThanOrEqual(-1e-9);
      expect(y - radius).toBeGreaterThanOrEqual(-1e-9);
      expect(x + radius).toBeLessThanOrEqual(width + 1e-9);
      expect(y + radius).toBeLessThanOrEqual(height + 1e-9);
    }
    expect(moves.at(-1)!.radius).toBeCloseTo(100, 0);
  });

  test("a press on the bare picture brings the chosen circle there", async () => {
    const control = await show();
    button(control, "Seat").focus();
    const image = control.shadowRoot!.querySelector("img")!;
    const box = image.getBoundingClientRect();
    await userEvent.click(image, { position: { x: box.width * 0.5, y: box.height * 0.8 } });
    expect(moves.at(-1)).toMatchObject({ id: "part", live: false });
    expect(moves.at(-1)!.x).toBeCloseTo(200, -0.5);
    expect(moves.at(-1)!.y).toBeCloseTo(160, -0.5);
  });

  test("a magnifier shows what lies under a moving circle, and goes when the focus leaves", async () => {
    const control = await show();
    const glass = lens(control);
    expect(glass.hidden).toBe(true);
    button(control, "Seat").focus();
    await userEvent.keyboard("{ArrowRight}");
    await expect.poll(() => glass.hidden).toBe(false);
    const canvas = glass.renderRoot.querySelector("canvas")!;
    const [r, g, b] = canvas
      .getContext("2d")!
      .getImageData(Math.round(canvas.width * 0.75), Math.round(canvas.height * 0.5), 1, 1).data;
    expect([r, g, b]).toEqual([180, 30, 40]);
    // Above the circle, not on it, so that a finger does not hide it.
    const seat = button(control, "Seat").getBoundingClientRect();
    const box = glass.getBoundingClientRect();
    expect(box.bottom <= seat.top || box.right <= seat.left || box.left >= seat.right).toBe(true);
    button(control, "Seat").blur();
    await expect.poll(() => glass.hidden).toBe(true);
  });

  test("circles are large enough for a finger, however small the ring is", async () => {
    const control = await show();
    for (const circle of control.shadowRoot!.querySelectorAll("button.circle")) {
      const { width: wide, height: high } = circle.getBoundingClientRect();
      expect(Math.min(wide, high)).toBeGreaterThanOrEqual(44);
    }
    const ring = button(control, "Seat").querySelector(".ring")!.getBoundingClientRect();
    const scale = control.shadowRoot!.querySelector("img")!.getBoundingClientRect().width / width;
    expect(ring.width).toBeCloseTo(10 * scale, 0); // identity: the ring is the circle
  });

  test("axe finds nothing in it", async () => {
    const control = await show();
    button(control, "Seat").focus();
    const { violations } = await axe.run(place);
    expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ target }) => target).join()}`)).toEqual(
      [],
    );
  });
});
