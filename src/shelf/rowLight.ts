import type { ObserverName } from "../colour/observer.ts";

/** The light of a row, and its observer where it is said: "D65", "D65 1931-2". Both are missing where nothing is said. */
export function rowLight(text: string): { illuminant?: string; observer?: ObserverName } {
  const [, illuminant, observer] = /^(.*?)(?:\s+(1931-2|1964-10))?$/.exec(text.trim()) ?? [];
  return { illuminant: illuminant || undefined, observer: observer as ObserverName | undefined };
}
