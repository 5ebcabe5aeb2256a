import { randomUUID } from "node:crypto";
import { lstat, mkdir, open, readFile, realpath, rename, rm } from "node:fs/promises";
import { homedir } from "node:os";
import { join, sep } from "node:path";
import { codeOf, syncFolder } from "../atomicWrite.ts";
import { FolderError } from "../folder.ts";

/** Where programs of this account keep their settings, by the custom of each system. */
export function configFolder(
  environment: NodeJS.ProcessEnv,
  platform: NodeJS.Platform = process.platform,
  home = homedir(),
): string {
  if (platform === "win32") return join(environment.APPDATA || join(home, "AppData", "Roaming"), "Bole");
  if (platform === "darwin") return join(home, "Library", "Application Support", "Bole");
  return join(environment.XDG_CONFIG_HOME || join(home, ".config"), "bole");
}

/** Files that this account alone can read. */
export class OwnFiles {
  readonly #folder: string;

  private constructor(folder: string) {
    this.#folder = folder;
  }

  /**
   * @param apartFrom folder of the notebooks, which may be copied, shared and put under version control
   * @throws FolderError when the folder cannot be made, belongs to another account, or lies in the one of the notebooks
   */
  static async open(folder: string, apartFrom: string): Promise<OwnFiles> {
    try {
      await mkdir(folder, { recursive: true, mode: 0o700 });
    } catch (error) {
      throw new FolderError(`"${folder}" cannot be made (${codeOf(error) ?? error}).`, error);
    }
    const [own, notebooks] = await Promise.all([realpath(folder), realpath(apartFrom)]);
    if (own === notebooks || own.startsWith(notebooks + sep)) {
      throw new FolderError(
        `The secret keys of the shop network would lie in the notebook folder, in "${own}". Choose another folder for the notebooks with --folder.`,
      );
    }
    const status = await lstat(own);
    if (isExposed(status)) {
      throw new FolderError(
        `"${own}" can be written by others, or belongs to another account. Make it your own (chmod 700) and start again.`,
      );
    }
    return new OwnFiles(own);
  }

  /** The text of a file; undefined where it is missing, or where others could have read or written it. */
  async read(name: string): Promise<string | undefined> {
    const path = join(this.#folder, name);
    try {
      const status = await lstat(path);
      if (!status.isFile() || isExposed(status, 0o077)) return undefined;
      return await readFile(path, "utf8");
    } catch (error) {
      if (codeOf(error) === "ENOENT") return undefined;
      throw error;
    }
  }

  /** Replaces a file as a whole. What others could read is not written into: a new file takes its place. */
  async write(name: string, text: string): Promise<void> {
    const temporary = join(this.#folder, `${randomUUID()}.tmp`);
    try {
      const handle = await open(temporary, "wx", 0o600);
      try {
        await handle.writeFile(text, "utf8");
        await handle.sync();
      } finally {
        await handle.close();
      }
      await rename(temporary, join(this.#folder, name));
      await syncFolder(this.#folder);
    } finally {
      await rm(temporary, { force: true });
    }
  }
}

/** Whether accounts other than this one and the administrator have a hand in it. Windows tells it in other ways. */
function isExposed({ mode, uid }: { mode: number; uid: number }, bits = 0o022): boolean {
  const own = process.getuid?.();
  if (own === undefined) return false;
  return (mode & bits) !== 0 || (uid !== own && uid !== 0);
}
