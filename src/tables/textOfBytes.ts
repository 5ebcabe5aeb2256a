/**
 * The text of a file in UTF-8 or UTF-16, with or without a byte-order mark. Without a mark UTF-16 is told by its zeros:
 * digits and separators of a table have one in every second byte.
 *
 * @throws TypeError for bytes that are neither
 */
export function textOfBytes(bytes: Uint8Array): string {
  return new TextDecoder(encodingOf(bytes), { fatal: true }).decode(bytes);
}

function encodingOf(bytes: Uint8Array): "utf-8" | "utf-16le" | "utf-16be" {
  const [first, second] = bytes;
  if (first === 0xff && second === 0xfe) return "utf-16le";
  if (first === 0xfe && second === 0xff) return "utf-16be";
  const looked = Math.min(bytes.length, 4096) & ~1;
  const zeros = [0, 0];
  for (let i = 0; i < looked; i++) if (bytes[i] === 0) zeros[i & 1]++;
  const many = 0.4 * (looked / 2);
  // A file of UTF-8 text has no zeros at all, so that a few on the other side already speak against it.
  if (looked >= 8 && zeros[1] > many && zeros[0] < 0.1 * zeros[1]) return "utf-16le";
  if (looked >= 8 && zeros[0] > many && zeros[1] < 0.1 * zeros[0]) return "utf-16be";
  return "utf-8";
}
