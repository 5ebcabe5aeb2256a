import { aboveZero, finite } from "../colour/checks.ts";
import { linearOf8Bit, type Picture, type PictureSpace } from "./pictureSpace.ts";

/** A sampling circle, in pixels of the picture; the centre of the top left pixel lies at 0.5, 0.5. */
export interface Circle {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

/** The pixels inside a circle in figures. Kept in place of the pixels, they are all that is needed to read colours. */
interface CircleStatistics {
  readonly circle: Circle;
  /** Mean linear red, green, blue, 0…1, of the middle 80 % of the pixels by brightness (specks and glints left out). */
  readonly rgb: Float64Array;
  /** Standard deviation of each over all pixels. */
  readonly spread: Float64Array;
  readonly count: number;
  /** Share of pixels with a channel at its upper end, 0…1. */
  readonly clipped: number;
  /** Share of pixels too dark to tell their colour, 0…1. */
  readonly shadowed: number;
  /** Share of pixels with one channel at its lower end although another is bright: as saturated as the space goes. */
  readonly saturated: number;
}

/** What the pixels inside a circle say, and whether they are of use. */
export interface CircleSample extends CircleStatistics {
  /** Why the sample is of no use; empty when it is. */
  readonly refusals: readonly string[];
  /** What to be careful about. */
  readonly notes: readonly string[];
}

/** Fewest pixels that make a mean, and about the most that are looked at. */
const fewest = 30;
const most = 20_000;
/** 8-bit values: at or above `full` a channel may be cut off; below `dark` in all channels a colour is mostly noise. */
const full = 254;
const dark = 16;
/** A channel at or below `floor` while another is at or above `bright` is at the rim of the space. */
const floor = 3;
const bright = 48;
/** Shares of pixels from which the verdicts hold (common practice). */
const tooMany = { clipped: 0.01, shadowed: 0.05, saturated: 0.05 } as const;
/** Brightness spread over mean from which a circle is called uneven. */
const uneven = 0.2;

/**
 * Statistics of the pixels whose centres lie in a circle, in linear light.
 *
 * @throws RangeError for a circle that is no circle or does not lie inside the picture; TypeError for a picture whose
 * data do not fit its size
 */
export function sampleCircle(picture: Picture, circle: Circle): CircleSample {
  const { width, height, data } = picture;
  finite("x", circle.x, "px");
  finite("y", circle.y, "px");
  aboveZero("radius", circle.radius, "px");
  if (data.length !== 4 * width * height) {
    throw new TypeError(`picture has ${data.length} values, but ${width} × ${height} × 4 are needed`);
  }
  const { x, y, radius } = circle;
  if (x - radius < 0 || y - radius < 0 || x + radius > width || y + radius > height) {
    throw new RangeError(
      `circle at ${x.toFixed(0)}, ${y.toFixed(0)} with radius ${radius.toFixed(0)} px: must lie inside the picture ` +
        `(${width} × ${height} px)`,
    );
  }
  // A large circle is sampled on a coarser lattice: more pixels tell no more.
  const stride = Math.max(Math.ceil(Math.sqrt((Math.PI * radius * radius) / most)), 1);
  const pixels: number[] = [];
  let clipped = 0;
  let shadowed = 0;
  let saturated = 0;
  const top = Math.floor(y - radius);
  const left = Math.floor(x - radius);
  const rows = (Math.min(Math.ceil(y + radius), height) - top) / stride;
  const columns = (Math.min(Math.ceil(x + radius), width) - left) / stride;
  for (let i = 0; i < rows; i++) {
    for (let j = 0; j < columns; j++) {
      const [row, column] = [top + i * stride, left + j * stride];
      if ((column + 0.5 - x) ** 2 + (row + 0.5 - y) ** 2 > radius * radius) continue;
      const at = 4 * (row * width + column);
      const highest = Math.max(data[at], data[at + 1], data[at + 2]);
      const lowest = Math.min(data[at], data[at + 1], data[at + 2]);
      pixels.push(at);
      if (highest >= full) clipped++;
      if (highest < dark) shadowed++;
      if (lowest <= floor && highest >= bright) saturated++;
    }
  }
  const count = pixels.length;
  const share = { clipped: clipped / count, shadowed: shadowed / count, saturated: saturated / count };
  const { rgb, spread } = meanAndSpread(data, pixels);
  return judgedSample({ circle, rgb, spread, count, ...share }, picture.space);
}

/** What the figures of a circle are good for. */
export function judgedSample(statistics: CircleStatistics, space: PictureSpace): CircleSample {
  const { rgb, spread, count, clipped, shadowed } = statistics;
  const refusals: string[] = [];
  const notes: string[] = [];
  if (count < fewest) refusals.push(`only ${count} pixels: make the circle larger (at least ${fewest})`);
  else if (clipped > tooMany.clipped) {
    refusals.push(
      `overexposed: ${percent(clipped)} of the pixels are cut off at full brightness; ` +
        "photograph darker or move off the highlight",
    );
  } else if (shadowed > tooMany.shadowed) {
    refusals.push(
      `in shadow: ${percent(shadowed)} of the pixels are too dark to tell their colour; ` +
        "photograph brighter or move off the shadow",
    );
  }
  if (atRimOfSpace(statistics)) {
    notes.push(
      `as saturated as ${space === "srgb" ? "an sRGB" : "a Display P3"} picture can hold: ` +
        "the part may be more saturated than measured here",
    );
  }
  const brightness = (rgb[0] + rgb[1] + rgb[2]) / 3;
  if (brightness > 0 && Math.hypot(...spread) / Math.sqrt(3) > uneven * brightness) {
    notes.push("uneven: grain, a highlight or an edge lies in the circle; move or shrink it");
  }
  return { ...statistics, refusals, notes };
}

/** Whether so many pixels lie at the rim of the picture's space that the true colour may be cut off. */
export function atRimOfSpace(sample: Pick<CircleSample, "saturated">): boolean {
  return sample.saturated > tooMany.saturated;
}

function meanAndSpread(
  data: ArrayLike<number>,
  pixels: number[],
): { rgb: Float64Array; spread: Float64Array } {
  const brightness = (at: number): number =>
    linearOf8Bit[data[at]] + linearOf8Bit[data[at + 1]] + linearOf8Bit[data[at + 2]];
  const ordered = pixels.map((at) => ({ at, brightness: brightness(at) }));
  ordered.sort((a, b) => a.brightness - b.brightness);
  const drop = Math.floor(ordered.length / 10);
  const rgb = new Float64Array(3);
  const spread = new Float64Array(3);
  for (let c = 0; c < 3; c++) {
    let sum = 0;
    for (let k = drop; k < ordered.length - drop; k++) sum += linearOf8Bit[data[ordered[k].at + c]];
    rgb[c] = sum / (ordered.length - 2 * drop);
    let all = 0;
    for (const { at } of ordered) all += linearOf8Bit[data[at + c]];
    const mean = all / ordered.length;
    let squares = 0;
    for (const { at } of ordered) squares += (linearOf8Bit[data[at + c]] - mean) ** 2;
    spread[c] = Math.sqrt(squares / Math.max(ordered.length - 1, 1));
  }
  return { rgb, spread };
}

function percent(share: number): string {
  return `${(100 * share).toFixed(share < 0.1 ? 1 : 0)} %`;
}
