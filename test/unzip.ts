import { crc32, inflateRawSync } from "node:zlib";

export interface Unzipped {
  name: string;
  bytes: Buffer;
  /** Such as 0o755. */
  mode: number;
}

/**
 * Everything in a ZIP archive, read from its central directory.
 *
 * @throws Error where two places of the archive tell differently
 */
export function unzip(archive: Buffer): Unzipped[] {
  const end = archive.lastIndexOf(Buffer.from("PK\x05\x06", "latin1"));
  const count = archive.readUInt16LE(end + 10);
  let at = archive.readUInt32LE(end + 16);
  if (at + archive.readUInt32LE(end + 12) !== end) throw new Error("the directory has another size");
  return Array.from({ length: count }, () => {
    const start = archive.readUInt32LE(at + 42);
    const nameLength = archive.readUInt16LE(at + 28);
    const name = archive.toString("utf8", at + 46, at + 46 + nameLength);
    if (!archive.subarray(at + 6, at + 30).equals(archive.subarray(start + 4, start + 28)))
      throw new Error(`${name}: the two heads differ`);
    if (archive.toString("utf8", start + 30, start + 30 + nameLength) !== name)
      throw new Error(`${name}: the two names differ`);
    const from = start + 30 + nameLength;
    const bytes = inflateRawSync(archive.subarray(from, from + archive.readUInt32LE(at + 20)));
    if (bytes.length !== archive.readUInt32LE(at + 24)) throw new Error(`${name}: another length`);
    if (crc32(bytes) !== archive.readUInt32LE(at + 16)) throw new Error(`${name}: another checksum`);
    const mode = (archive.readUInt32LE(at + 38) >>> 16) & 0o777;
    at += 46 + nameLength;
    return { name, bytes, mode };
  });
}
