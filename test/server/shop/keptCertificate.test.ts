import { chmod, mkdir, readdir, readFile, stat, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { configFolder, OwnFiles } from "../../../src/server/shop/configFolder.ts";
import { keptIdentity } from "../../../src/server/shop/keptCertificate.ts";
import { temporaryFolder } from "../temporaryFolder.ts";

const addresses = ["192.168.1.20"];
const day = 86_400_000;

async function ownFiles() {
  const [folder, notebooks] = [join(await temporaryFolder(), "config"), await temporaryFolder()];
  return { folder, notebooks, files: await OwnFiles.open(folder, notebooks) };
}

describe("the certificate", () => {
  test("stays from start to start", async () => {
    const { files } = await ownFiles();
    const first = await keptIdentity(files, addresses);
    const again = await keptIdentity(files, addresses);
    expect([first.isNew, again.isNew]).toEqual([true, false]);
    expect([again.fingerprint, again.key]).toEqual([first.fingerprint, first.key]);
  });

  test("is made anew for other addresses and before its end, under the authority that devices know", async () => {
    const { files } = await ownFiles();
    const first = await keptIdentity(files, addresses);
    const moved = await keptIdentity(files, ["192.168.1.21"]);
    const two = await keptIdentity(files, ["192.168.1.21", "10.0.0.7"]);
    const later = await keptIdentity(files, ["192.168.1.21", "10.0.0.7"], new Date(Date.now() + 370 * day));
    const prints = [first, moved, two, later].map(({ fingerprint }) => fingerprint);
    expect(new Set(prints).size).toBe(4);
    for (const { authorityFingerprint } of [moved, two, later])
      expect(authorityFingerprint).toBe(first.authorityFingerprint);
  });

  test.each(["authority.key", "authority.crt"])(
    "is made anew, with the authority, when %s is damaged",
    async (name) => {
      const { files, folder } = await ownFiles();
      const first = await keptIdentity(files, addresses);
      await writeFile(join(folder, name), "damaged");
      const again = await keptIdentity(files, addresses);
      expect(again.isNew).toBe(true);
      expect(again.authorityFingerprint).not.toBe(first.authorityFingerprint);
      expect(again.fingerprint).not.toBe(first.fingerprint);
    },
  );
});

describe.skipIf(process.platform === "win32")("the keys", () => {
  test("can be read by the account alone", async () => {
    const { files, folder } = await ownFiles();
    await keptIdentity(files, addresses);
    expect((await stat(folder)).mode & 0o777).toBe(0o700);
    const names = await readdir(folder);
    expect(names.sort()).toEqual(["authority.crt", "authority.key", "server.crt", "server.key"]);
    for (const name of names) expect((await stat(join(folder, name))).mode & 0o077).toBe(0);
  });

  test("that others could read are of no use any more", async () => {
    const { files, folder } = await ownFiles();
    const first = await keptIdentity(files, addresses);
    await chmod(join(folder, "authority.key"), 0o644);
    const again = await keptIdentity(files, addresses);
    expect(again.isNew).toBe(true);
    expect(await readFile(join(folder, "authority.key"), "utf8")).not.toBe(first.key);
    expect((await stat(join(folder, "authority.key"))).mode & 0o077).toBe(0);
  });

  test("are not kept where others can write", async () => {
    const folder = join(await temporaryFolder(), "config");
    await mkdir(folder);
    await chmod(folder, 0o777);
    await expect(OwnFiles.open(folder, await temporaryFolder())).rejects.toThrow(/written by others/);
  });

  test("never lie in the notebook folder", async () => {
    const notebooks = await temporaryFolder();
    for (const folder of [notebooks, join(notebooks, ".config", "bole")])
      await expect(OwnFiles.open(folder, notebooks)).rejects.toThrow(/would lie in the notebook folder/);
  });
});

test("the folder is the one that each system has for it", () => {
  // source: XDG Base Directory Specification; common practice on the others
  expect(configFolder({ XDG_CONFIG_HOME: "/x" }, "linux", "/home/a")).toBe(join("/x", "bole"));
  expect(configFolder({}, "linux", "/home/a")).toBe(join("/home/a", ".config", "bole"));
  expect(configFolder({}, "darwin", "/Users/a")).toBe(
    join("/Users/a", "Library", "Application Support", "Bole"),
  );
  expect(configFolder({ APPDATA: "/r" }, "win32", "/Users/a")).toBe(join("/r", "Bole"));
});
