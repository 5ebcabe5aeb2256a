import { codeOf } from "./atomicWrite.ts";
import { Refusal } from "./refusal.ts";

/**
 * What the operating system refused, in words for the person at the page; undefined for any other error. In each case
 * the notebook is as it was: a file takes its name only after all of it has been written.
 */
export function diskTrouble(error: unknown): Refusal | undefined {
  switch (codeOf(error)) {
    case "ENOSPC":
    case "EDQUOT":
      return new Refusal(
        507,
        "The disk is full: nothing was written, and the file is as it was before. Make some room; your change is tried again.",
        { reason: "disk-full" },
      );
    case "EACCES":
    case "EPERM":
    case "EROFS":
      return new Refusal(
        403,
        "The notebook folder may not be written: nothing was saved, and the file is as it was before. Give this account the right to write there.",
        { reason: "not-writable" },
      );
    case "EMFILE":
    case "ENFILE":
      return new Refusal(503, "Too many files are open on this computer. Your change is tried again.", {
        reason: "busy",
      });
    default:
      return undefined;
  }
}
