import { execFileSync } from "node:child_process";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { expect, test } from "vitest";
import { zipOf } from "../../src/build/zip.mjs";
import { temporaryFolder } from "../server/temporaryFolder.ts";
import { unzip } from "../unzip.ts";

const files = [
  { name: "a/Prüfung 1.txt", bytes: Buffer.from("the same again and again ".repeat(500)), mode: 0o755 },
  { name: "a/empty", bytes: Buffer.alloc(0), mode: 0o644 },
  {
    name: "b.bin",
    bytes: Buffer.from(Array.from({ length: 1000 }, (_, i) => (i * 7919) % 256)),
    mode: 0o600,
  },
];

// identity: there and back
test("what goes in comes out", () => {
  const archive = zipOf(files);
  expect(unzip(archive)).toEqual(files);
  expect(archive.length).toBeLessThan(2500);
  expect(zipOf(files)).toEqual(archive);
});

// source: Info-ZIP's unzip, a reader by others
test("another program reads it", async ({ skip }) => {
  const file = join(await temporaryFolder(), "archive.zip");
  await writeFile(file, zipOf(files));
  let said: string;
  try {
    said = execFileSync("unzip", ["-tq", file], { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
  } catch (error) {
    skip((error as NodeJS.ErrnoException).code === "ENOENT", "there is no unzip here");
    throw error;
  }
  expect(said).toMatch(/^No errors detected/);
});
