import { mkdtemp, realpath, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";

/** A folder of its own for one test, removed afterwards. */
export async function temporaryFolder(): Promise<string> {
  const folder = await realpath(await mkdtemp(join(tmpdir(), "bole-test-")));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  return folder;
}

/** Text of a small notebook. */
export function notebookText(title: string): string {
  return `${JSON.stringify(notebook(title), null, 1)}\n`;
}

/** A small notebook. */
export function notebook(title: string) {
  return { format: "bole-notebook", version: 1, title, cells: [] };
}
