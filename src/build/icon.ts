import { pngOf } from "./pngFile.ts";

type Colour = readonly [red: number, green: number, blue: number];

/** A square of one colour with rectangles on it. */
export interface Drawing {
  /** Width and height, in units of its own. */
  readonly width: number;
  readonly ground: Colour;
  readonly blocks: readonly { x: number; y: number; width: number; height: number; colour: Colour }[];
}

/**
 * Reads an SVG of one square and rectangles drawn as `Mx yhwidthvheightHxz`.
 *
 * @throws Error when there is anything else in it
 */
export function drawingOf(svg: string): Drawing {
  const [all, width, ground] = /viewBox="0 0 (\d+) \1">.*?<rect [^>]*fill="(#\w+)"\/>/.exec(svg) ?? [];
  const shapes = [...svg.matchAll(/<path d="M(\d+) (\d+)h(\d+)v(\d+)H\1z" fill="(#\w+)"\/>/g)];
  if (!all || svg.match(/<(rect|path|circle|g|text)\b/g)?.length !== shapes.length + 1)
    throw new Error("The mark has to be one square and rectangles: the icons are drawn from it.");
  return {
    width: Number(width),
    ground: colourOf(ground),
    blocks: shapes.map(([, x, y, width, height, colour]) => ({
      ...{ x: Number(x), y: Number(y), width: Number(width), height: Number(height) },
      colour: colourOf(colour),
    })),
  };
}

function colourOf(hex: string): Colour {
  const digits =
    hex.length === 4 ? [...hex.slice(1)].map((digit) => digit + digit) : hex.slice(1).match(/../g)!;
  return digits.map((pair) => Number.parseInt(pair, 16)) as unknown as Colour;
}

/**
 * A drawing as PNG.
 *
 * @param size width and height, pixels
 * @param share how much of the width the drawing takes, 0…1; the rest is ground
 */
export function iconOf({ width, ground, blocks }: Drawing, size: number, share = 1): Uint8Array {
  const row = 1 + 3 * size;
  const pixels = Buffer.alloc(row * size);
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      // Middle of the pixel, in the units of the drawing.
      const at = (place: number) => (((place + 0.5) / size - 0.5) / share + 0.5) * width;
      const [u, v] = [at(x), at(y)];
      const block = blocks.findLast(
        (one) => u >= one.x && u < one.x + one.width && v >= one.y && v < one.y + one.height,
      );
      pixels.set(block?.colour ?? ground, y * row + 1 + 3 * x);
    }
  }
  return pngOf(size, size, pixels);
}
