import { crc32, deflateSync } from "node:zlib";
import type { Picture } from "../../src/photo/pictureSpace.ts";

/** A picture as a PNG file, 8 bits a channel, no opacity; without a profile it means sRGB. Source: W3C PNG, 3rd ed. */
export function pngFile({ width, height, data }: Pick<Picture, "width" | "height" | "data">): Buffer {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 2, 0, 0, 0], 8);
  const rows = Buffer.alloc(height * (1 + 3 * width));
  for (let row = 0, to = 0; row < height; row++) {
    rows[to++] = 0;
    for (let column = 0; column < width; column++) {
      const from = 4 * (row * width + column);
      for (let c = 0; c < 3; c++) rows[to++] = data[from + c];
    }
  }
  return Buffer.concat([
    Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]),
    chunk("IHDR", header),
    chunk("IDAT", deflateSync(rows)),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

function chunk(type: string, content: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, "latin1"), content]);
  const whole = Buffer.alloc(body.length + 8);
  whole.writeUInt32BE(content.length, 0);
  body.copy(whole, 4);
  whole.writeUInt32BE(crc32(body), body.length + 4);
  return whole;
}
