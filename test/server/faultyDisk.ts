import type * as fs from "node:fs/promises";

/** What happens at each call to the file system; set by a test. */
export const disk: {
  /**
   * Told before each call; throws to let the call fail. Of a call with two paths the second comes first; `changes` says
   * whether the call may change what stands in a folder.
   */
  before: ((operation: string, path: string, from?: string, changes?: boolean) => void) | undefined;
} = { before: undefined };

/** An error as the operating system gives it. */
export function systemError(code: string): NodeJS.ErrnoException {
  return Object.assign(new Error(`${code}: as a test has it`), { code });
}

const watched = ["open", "rename", "link", "rm", "mkdir", "readdir", "lstat", "readFile"] as const;
const changing = new Set(["rename", "link", "rm", "mkdir"]);
const watchedOfHandles = new Set(["writeFile", "readFile", "sync", "stat", "close"]);

/** The file system with a disk that fails when a test says so; for `vi.mock("node:fs/promises")`. */
export function faultyDisk(real: typeof fs): typeof fs {
  const faulty: Record<string, unknown> = { ...real, default: real };
  for (const operation of watched) {
    const call = real[operation] as (...args: unknown[]) => Promise<unknown>;
    faulty[operation] = async (...args: unknown[]) => {
      const hasTwo = operation === "link" || operation === "rename";
      const path = String(args[hasTwo ? 1 : 0]);
      const changes = changing.has(operation) || (operation === "open" && String(args[1]).startsWith("w"));
      disk.before?.(operation, path, hasTwo ? String(args[0]) : undefined, changes);
      const result = await call(...args);
      return operation === "open" ? faultyHandle(result as fs.FileHandle, path) : result;
    };
  }
  return faulty as unknown as typeof fs;
}

function faultyHandle(handle: fs.FileHandle, path: string): fs.FileHandle {
  return new Proxy(handle, {
    get(target, name) {
      const value = Reflect.get(target, name);
      if (typeof value !== "function") return value;
      const call = value.bind(target);
      if (typeof name !== "string" || !watchedOfHandles.has(name)) return call;
      return async (...args: unknown[]) => {
        try {
          disk.before?.(name, path);
        } catch (error) {
          // A disk that is full takes a part; a handle is given back to the system in any case.
          if (name === "writeFile")
            await target.writeFile(String(args[0]).slice(0, 100)).catch(() => undefined);
          if (name === "close") await target.close();
          throw error;
        }
        return call(...args);
      };
    },
  });
}
