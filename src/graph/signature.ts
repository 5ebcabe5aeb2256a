/**
 * A short fingerprint of plain data with typed arrays, to tell whether a kept result still fits its inputs.
 * FNV-1a over the numbers and texts in order; not for security.
 */
export function signatureOf(value: unknown): string {
  let hash = 0x811c9dc5;
  const eat = (byte: number) => {
    hash = Math.imul(hash ^ byte, 0x01000193);
  };
  const bytes = new DataView(new ArrayBuffer(8));
  const number = (x: number) => {
    bytes.setFloat64(0, x);
    for (let i = 0; i < 8; i++) eat(bytes.getUint8(i));
  };
  const walk = (part: unknown): void => {
    if (typeof part === "number") number(part);
    else if (typeof part === "string") for (let i = 0; i < part.length; i++) eat(part.charCodeAt(i) & 0xff);
    else if (part === null || part === undefined || typeof part === "boolean") eat(part ? 2 : 1);
    else if (ArrayBuffer.isView(part)) for (const x of part as Float64Array) number(x);
    else if (Array.isArray(part)) for (const item of part) walk(item);
    else for (const [key, item] of Object.entries(part as object)) walk([key, item]);
    eat(0x1f);
  };
  walk(value);
  return (hash >>> 0).toString(36);
}
