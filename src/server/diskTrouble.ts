import { codeOf } from "./atomicWrite.ts";
import { Refusal } from "./refusal.ts";

/** What was found on the disk after something had failed there. */
export interface Standing {
  /** In words, a sentence. */
  readonly words: string;
  /** Whether what was asked for stands on the disk all the same; undefined where that could not be found out. */
  readonly done: boolean | undefined;
}

/** What the operating system refused, in words for the person at the page. */
export class DiskRefusal extends Refusal {
  /** Code of the operating system, such as ENOSPC. */
  readonly code: string;

  constructor(error: unknown, standing?: Standing) {
    const code = codeOf(error) ?? "unknown";
    const { status, reason, why, wayOut } = troubleOf(code);
    const words = [`${why} (${code}).`, standing?.words, wayOut].filter((text) => text !== undefined);
    super(status, words.join(" "), { reason, ...(standing && { done: standing.done }) });
    this.code = code;
    this.cause = error;
  }
}

/** Whether the operating system refused something. */
export function isOfSystem(error: unknown): boolean {
  return !(error instanceof Refusal) && /^E[A-Z0-9]+$/.test(codeOf(error) ?? "");
}

/** Whether there is no room on the disk, or none for this account. */
export function isFull(error: unknown): boolean {
  return ["ENOSPC", "EDQUOT"].includes(codeOf(error) ?? "");
}

/**
 * Does something on the disk. Where the system refuses a part of it, the answer says what stands there now: looked up,
 * not taken for granted.
 *
 * @throws DiskRefusal for an error of the operating system; any other error as it is
 */
export async function toldTruly<Result>(
  look: () => Promise<Standing>,
  work: () => Promise<Result>,
): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    if (!isOfSystem(error)) throw error;
    const unknown = { words: "What stands on the disk now could not be read.", done: undefined };
    throw new DiskRefusal(error, await look().catch(() => unknown));
  }
}

function troubleOf(code: string): { status: number; reason: string; why: string; wayOut?: string } {
  switch (code) {
    case "ENOSPC":
    case "EDQUOT":
      return {
        status: 507,
        reason: "disk-full",
        why: "The disk is full",
        wayOut: "Make some room; an open notebook is saved again by itself.",
      };
    case "EACCES":
    case "EPERM":
    case "EROFS":
      return {
        status: 403,
        reason: "not-writable",
        why: "The notebook folder, or a part of it, may not be written",
        wayOut: "Give this account the right to write there.",
      };
    case "EMFILE":
    case "ENFILE":
      return {
        status: 503,
        reason: "busy",
        why: "Too many files are open on this computer",
        wayOut: "An open notebook is saved again by itself.",
      };
    default:
      return { status: 500, reason: "disk", why: "The disk failed" };
  }
}
