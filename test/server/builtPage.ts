import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { temporaryFolder } from "./temporaryFolder.ts";

/** A folder with the files that a built page has. */
export async function builtPage(): Promise<string> {
  const folder = await temporaryFolder();
  await mkdir(join(folder, "assets"));
  await writeFile(
    join(folder, "index.html"),
    "<!doctype html><html><head><title>x</title></head><body></body></html>",
  );
  await writeFile(
    join(folder, "pair.html"),
    '<!doctype html><title>Pairing</title><script type="module" src="/assets/pair-abc.js"></script>',
  );
  await writeFile(join(folder, "assets", "main-abc.js"), "export {};");
  await writeFile(join(folder, "assets", "pair-abc.js"), "export {};");
  await writeFile(join(folder, "mark.svg"), "<svg/>");
  return folder;
}
