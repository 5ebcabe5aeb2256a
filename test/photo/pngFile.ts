import { pngOf } from "../../src/build/pngFile.ts";
import type { Picture } from "../../src/photo/pictureSpace.ts";

/** A picture as a PNG file, 8 bits a channel, no opacity; without a profile it means sRGB. */
export function pngFile({ width, height, data }: Pick<Picture, "width" | "height" | "data">): Buffer {
  const rows = Buffer.alloc(height * (1 + 3 * width));
  for (let row = 0, to = 0; row < height; row++) {
    rows[to++] = 0;
    for (let column = 0; column < width; column++) {
      const from = 4 * (row * width + column);
      for (let c = 0; c < 3; c++) rows[to++] = data[from + c];
    }
  }
  return pngOf(width, height, rows);
}
