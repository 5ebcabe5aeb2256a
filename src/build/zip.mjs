import { crc32, deflateRawSync } from "node:zlib";

const localHead = 0x04034b50;
const centralHead = 0x02014b50;
const centralEnd = 0x06054b50;
const namesInUtf8 = 1 << 11;
const deflated = 8;
const madeOnUnix = (3 << 8) | 20;
const needed = 20;
const regularFile = 0o100000;
/** 1 January 1980, the first day there is: the same files give the same archive at any time. */
const date = (1 << 5) | 1;

/**
 * A ZIP archive of files in memory (less than 4 GB and 65,536 files).
 *
 * @param {{ name: string, bytes: Uint8Array, mode?: number }[]} files names with slashes; mode such as 0o755
 * @returns {Buffer}
 * Source: PKWARE APPNOTE 6.3, sections 4.3.7, 4.3.12 and 4.3.16 (from memory)
 */
export function zipOf(files) {
  const parts = [];
  const directory = [];
  let offset = 0;
  const add = (list, ...buffers) => {
    list.push(...buffers);
    return buffers.reduce((sum, { length }) => sum + length, 0);
  };
  let directorySize = 0;
  for (const { name, bytes, mode = 0o644 } of files) {
    const nameBytes = Buffer.from(name, "utf8");
    const packed = deflateRawSync(bytes, { level: 9 });
    const common = Buffer.alloc(26);
    common.writeUInt16LE(needed, 0);
    common.writeUInt16LE(namesInUtf8, 2);
    common.writeUInt16LE(deflated, 4);
    common.writeUInt16LE(0, 6);
    common.writeUInt16LE(date, 8);
    common.writeUInt32LE(crc32(bytes), 10);
    common.writeUInt32LE(packed.length, 14);
    common.writeUInt32LE(bytes.length, 18);
    common.writeUInt16LE(nameBytes.length, 22);
    const tail = Buffer.alloc(14);
    // Length of a comment, disk, inner attributes, outer attributes, place of the local head.
    tail.writeUInt32LE(((regularFile | mode) << 16) >>> 0, 6);
    tail.writeUInt32LE(offset, 10);
    directorySize += add(directory, number(centralHead, 4), number(madeOnUnix, 2), common, tail, nameBytes);
    offset += add(parts, number(localHead, 4), common, nameBytes, packed);
  }
  const end = Buffer.alloc(18);
  end.writeUInt16LE(files.length, 4);
  end.writeUInt16LE(files.length, 6);
  end.writeUInt32LE(directorySize, 8);
  end.writeUInt32LE(offset, 12);
  return Buffer.concat([...parts, ...directory, number(centralEnd, 4), end]);
}

function number(value, length) {
  const bytes = Buffer.alloc(length);
  bytes.writeUIntLE(value, 0, length);
  return bytes;
}
