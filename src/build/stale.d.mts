/** Whether the build on disk was made from the present sources. */
export function isFresh(): boolean;

/** Builds when the sources have changed since the last build; throws with the complaint of a failed build. */
export function buildIfStale(): Promise<void>;
