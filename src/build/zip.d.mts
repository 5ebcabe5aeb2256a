/** A ZIP archive of files in memory; names with slashes, mode such as 0o755. */
export function zipOf(files: { name: string; bytes: Uint8Array; mode?: number }[]): Buffer;
