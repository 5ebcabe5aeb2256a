import { lstat, readdir } from "node:fs/promises";
import { join } from "node:path";
import type { BinEntry } from "../document/served.ts";
import { codeOf } from "./atomicWrite.ts";
import { fileEnding, isName } from "./notebookName.ts";

const pattern = /^(\d{4}-\d\d-\d\d)T(\d\d)-(\d\d)-(\d\d\.\d{3}Z)-[a-z0-9]{0,6}-(.+)$/;

/** Name without ending under which something goes to the bin: when, a mark that makes it single, its name. */
export function binNameOf(name: string, when: Date): string {
  const mark = Math.random().toString(36).slice(2, 8);
  return `${when.toISOString().replaceAll(":", "-")}-${mark}-${name}`;
}

/** Name that something in the bin had, or undefined for what is no name in the bin. */
export function nameInBin(id: string): string | undefined {
  const name = pattern.exec(id)?.[5];
  return name !== undefined && isName(name) ? name : undefined;
}

/** Notebooks in the bin, last deleted first. Only true files count. */
export async function listBin(bin: string): Promise<BinEntry[]> {
  const files = await readdir(bin, { withFileTypes: true }).catch((error) => {
    if (codeOf(error) === "ENOENT") return []; // nothing was ever deleted
    throw error;
  });
  const entries: BinEntry[] = [];
  for (const file of files) {
    if (!file.isFile() || !file.name.endsWith(fileEnding)) continue;
    const id = file.name.slice(0, -fileEnding.length);
    const name = nameInBin(id);
    const [, day, hour, minute, second] = pattern.exec(id) ?? [];
    if (name === undefined) continue;
    const { size } = await lstat(join(bin, file.name));
    entries.push({ id, name, deleted: `${day}T${hour}:${minute}:${second}`, size });
  }
  return entries.sort((a, b) => (a.id < b.id ? 1 : -1));
}
