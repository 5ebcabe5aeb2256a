import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { expect, test } from "vitest";
import { openWorkplace } from "../../src/server/server.ts";
import { runningServer } from "./runningServer.ts";
import { notebookText } from "./temporaryFolder.ts";

const examples = { a: notebookText("a"), b: notebookText("b") };

test("the notebook that was opened last is known at the next start; listing and saving open nothing", async () => {
  const first = await runningServer({ examples });
  expect(first.workplace.lastUsed.name).toBeUndefined();
  await first.send("/api/notebooks");
  expect(first.workplace.lastUsed.name).toBeUndefined();
  await first.send("/api/notebooks/a");
  await first.send("/api/notebooks/b");
  await first.send("/api/notebooks/missing");
  await first.stop();
  const again = await openWorkplace({ folder: first.folder, examples: {} });
  expect(again.lastUsed.name).toBe("b");
  await again.close();
});

test.each(["", "{", "[]", '{"name":7}', '{"name":"../secret"}'])(
  "%s in its file names none",
  async (text) => {
    const first = await runningServer({ examples });
    await first.stop();
    await writeFile(join(first.folder, ".bole", "last.json"), text);
    const again = await openWorkplace({ folder: first.folder, examples: {} });
    expect(again.lastUsed.name).toBeUndefined();
    await again.close();
  },
);
