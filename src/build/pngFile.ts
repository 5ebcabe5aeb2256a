import { crc32, deflateSync } from "node:zlib";

/**
 * Pixels as PNG, 8-bit truecolour. Source: W3C PNG, 3rd ed. (ISO/IEC 15948)
 *
 * @param rows for each row a zero (no filter), then red, green, blue of each pixel
 */
export function pngOf(width: number, height: number, rows: Uint8Array): Buffer {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([8, 2], 8);
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk("IHDR", head),
    chunk("IDAT", deflateSync(rows)),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

function chunk(name: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name, "ascii"), data]);
  const numbers = Buffer.alloc(8);
  numbers.writeUInt32BE(data.length, 0);
  numbers.writeUInt32BE(crc32(body), 4);
  return Buffer.concat([numbers.subarray(0, 4), body, numbers.subarray(4)]);
}
