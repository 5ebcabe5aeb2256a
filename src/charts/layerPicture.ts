/** One layer of a painted part, top to bottom; the last one is the part, which goes on below. */
export interface PicturedLayer {
  readonly label: string;
  /** µm; not used for the last layer */
  readonly dryThickness: number;
  /** Share of the light that ends here, 0…1. */
  readonly swallowed: number;
  /** Share of the light that turns round here and comes back, 0…1. */
  readonly turned: number;
}

interface PictureOptions {
  /** px for one µm, so that pictures beside one another have one scale. */
  readonly scale: number;
}

/** A layer as a box. */
interface PictureBox {
  readonly y: number;
  readonly height: number;
}

/** Light of one fate: a shape as wide as its share, and the line that it follows. */
interface PictureRay {
  readonly layer: number;
  readonly fate: "swallowed" | "turned";
  readonly share: number;
  readonly width: number;
  /** outline, as for an SVG path */
  readonly outline: string;
  /** middle line in the direction of travel, as for an SVG path */
  readonly flow: string;
}

interface PictureLabel {
  readonly lines: readonly string[];
  /** baseline of the first line */
  readonly y: number;
  /** where the leader starts at the layer's edge */
  readonly edge: number;
}

/** A cross-section laid out in px. */
interface LaidPicture {
  readonly width: number;
  readonly height: number;
  /** Right edge of the section; labels stand beyond it. */
  readonly edge: number;
  readonly top: number;
  readonly boxes: readonly PictureBox[];
  readonly rays: readonly PictureRay[];
  readonly labels: readonly PictureLabel[];
  /** Lower edge of the part, broken because it goes on. */
  readonly broken: string;
  /** A bar of 10 µm beside the section; left out where it has no room. */
  readonly bar: { readonly x: number; readonly y: number; readonly length: number } | undefined;
}

/** Sizes of the picture, px. Text is set at 15 px or more. */
export const pictureSize = {
  width: 340,
  edge: 200,
  /** height of the air above the film */
  air: 62,
  /** height shown of the part */
  part: 84,
  /** width of all light together */
  beam: 84,
  left: 8,
  lineHeight: 19,
} as const;

/** Shares below this are too thin to draw; the words still tell them. */
const thinnest = 0.004;
const gap = 6;
const arrow = 11;

/** Scale, px per µm, at which the thickest of some films is about as tall as it should be. */
export function pictureScale(filmThicknesses: readonly number[]): number {
  return Math.min(8, Math.max(1.5, 190 / Math.max(1, ...filmThicknesses)));
}

/**
 * Lay out a cross-section: layers to the scale of their dry thickness, and light as rays whose widths are its shares.
 * Rays that turn round or end higher up stand further right in the beam, so that no two cross.
 */
export function layPicture(layers: readonly PicturedLayer[], { scale }: PictureOptions): LaidPicture {
  const { width, edge, air, part, beam, left, lineHeight } = pictureSize;
  const boxes: PictureBox[] = [];
  let y: number = air;
  layers.forEach(({ dryThickness }, index) => {
    const height = index === layers.length - 1 ? part : dryThickness * scale;
    boxes.push({ y, height });
    y += height;
  });
  const rays: PictureRay[] = [];
  let right = left + beam;
  let lane = right + gap;
  layers.forEach(({ swallowed, turned }, layer) => {
    const box = boxes[layer];
    if (turned >= thinnest) {
      const w = turned * beam;
      rays.push({ layer, fate: "turned", share: turned, width: w, ...turning(right - w, lane, w, box) });
      lane += w + gap;
    }
    right -= Math.max(0, turned) * beam;
    if (swallowed >= thinnest) {
      const w = swallowed * beam;
      rays.push({ layer, fate: "swallowed", share: swallowed, width: w, ...ending(right - w, w, box) });
    }
    right -= Math.max(0, swallowed) * beam;
  });
  const labels = layLabels(layers, boxes);
  const last = labels[labels.length - 1];
  return {
    width,
    height: Math.max(y + 8, last.y + (last.lines.length - 1) * lineHeight + 8),
    edge,
    top: 2,
    boxes,
    rays,
    labels,
    broken: brokenEdge(y, edge),
    bar: labels[0].y - lineHeight > 10 * scale + 6 ? { x: edge + 16, y: 3, length: 10 * scale } : undefined,
  };
}

/** Down, round inside the layer, and up again to an arrow. */
function turning(x: number, lane: number, w: number, { y, height }: PictureBox) {
  const bottom = y + Math.max(height / 2, Math.min(height - 3, height * 0.62 + w / 2));
  const bar = Math.min(w, Math.max(1, bottom - y - 3));
  const end = lane + w;
  const tip = lane + w / 2;
  // Four thin lanes beside a full beam leave the last one less room than an arrow likes.
  const wing = Math.min(Math.max(w / 2 + 2, 5), pictureSize.edge - tip);
  const outline = [
    `M${n(x)} 2`,
    `H${n(x + w)}`,
    `V${n(bottom - bar)}`,
    `H${n(lane)}`,
    `V${n(2 + arrow)}`,
    `H${n(tip - wing)}`,
    `L${n(tip)} 2`,
    `L${n(tip + wing)} ${n(2 + arrow)}`,
    `H${n(end)}`,
    `V${n(bottom)}`,
    `H${n(x)}`,
    "Z",
  ].join(" ");
  return {
    outline,
    flow: `M${n(x + w / 2)} 2 V${n(bottom - bar / 2)} H${n(tip)} V${n(2 + arrow)}`,
  };
}

/** Down to a point inside the layer. */
function ending(x: number, w: number, { y, height }: PictureBox) {
  const point = y + Math.max(height / 2, Math.min(height - 2, height * 0.7));
  const shoulder = Math.min(point, Math.max(y + 1, point - Math.max(6, w / 3)));
  return {
    outline: `M${n(x)} 2 H${n(x + w)} V${n(shoulder)} L${n(x + w / 2)} ${n(point)} L${n(x)} ${n(shoulder)} Z`,
    flow: `M${n(x + w / 2)} 2 V${n(point - 2)}`,
  };
}

function layLabels(layers: readonly PicturedLayer[], boxes: readonly PictureBox[]): PictureLabel[] {
  const { lineHeight } = pictureSize;
  let free = 18;
  return layers.map(({ label, dryThickness, swallowed, turned }, index) => {
    const box = boxes[index];
    const isPart = index === layers.length - 1;
    const lines = [
      label,
      ...(isPart ? [] : [`${dryThickness.toFixed(1)} µm dry`]),
      `swallowed ${shareWords(swallowed)}`,
      `turned back ${shareWords(turned)}`,
    ];
    const block = (lines.length - 1) * lineHeight;
    const y = Math.max(free, box.y + box.height / 2 - block / 2 + 5);
    free = y + block + lineHeight + 6;
    return { lines, y, edge: box.y + box.height / 2 };
  });
}

/** A share in per cent, to a tenth where it is small. */
export function shareWords(share: number): string {
  const percent = 100 * Math.max(0, share);
  return percent < 0.05 ? "0 %" : `${percent.toFixed(percent < 9.95 ? 1 : 0)} %`;
}

function brokenEdge(y: number, edge: number): string {
  const teeth = 12;
  const step = edge / teeth;
  return Array.from(
    { length: teeth + 1 },
    (_, i) => `${i === 0 ? "M" : "L"}${n(i * step)} ${n(y + (i % 2 === 0 ? 0 : -7))}`,
  ).join(" ");
}

function n(value: number): string {
  return String(Math.round(value * 100) / 100);
}
