import type { ObserverName } from "../colour/observer.ts";
import type { SpecularMode } from "../optics/interface.ts";
import { illuminantNames } from "../tables/illuminants.ts";

const knownLights = new Map(illuminantNames.map((name) => [name.toUpperCase(), name]));
for (let lamp = 1; lamp <= 12; lamp++) knownLights.set(`F${lamp}`, `FL${lamp}`);

/** The light named anywhere in a text: "D65", "Illuminant A", "D65/10°", "F11"; undefined when there is none or two. */
export function illuminantIn(text: string): string | undefined {
  const found = new Set<string>();
  for (const word of text.toUpperCase().split(/[^A-Z0-9.-]+/)) {
    const light = word.length > 1 ? knownLights.get(word) : undefined;
    if (light !== undefined) found.add(light);
  }
  // A letter alone is a light only where the text says so: "A", "illuminant A", "A/10".
  const letter = /^\s*([AC])\s*$|\bill(?:um\w*)?\W{0,3}([AC])\b|\b([AC])\s{0,3}\/\s{0,3}(?:2|10)(?!\d)/i.exec(
    text,
  );
  if (letter) found.add((letter[1] ?? letter[2] ?? letter[3]).toUpperCase());
  return found.size === 1 ? [...found][0] : undefined;
}

/**
 * The observer named in a text: "2°", "10 deg", "2_Degree", "CIE 1931", "D65/10"; a bare "2" or "10" only when the whole
 * text is that number. Undefined when there is none or both.
 */
export function observerIn(text: string): ObserverName | undefined {
  const found = new Set<ObserverName>();
  const words = /(?:^|[^\d.])(2|10)(?:[.]0)?\s{0,3}[-_]?\s{0,3}(?:°|º|deg|degree|degrees)(?![a-z])/gi;
  for (const match of text.matchAll(words)) found.add(match[1] === "2" ? "1931-2" : "1964-10");
  for (const match of text.matchAll(/\b(19(?:31|64))\b/g))
    found.add(match[1] === "1931" ? "1931-2" : "1964-10");
  for (const match of text.matchAll(/\b[A-Z]+[0-9.]*\s{0,3}\/\s{0,3}(2|10)(?![\d.])/g)) {
    found.add(match[1] === "2" ? "1931-2" : "1964-10");
  }
  const bare = /^\s*(2|10)(?:\.0)?\s*$/.exec(text);
  if (bare) found.add(bare[1] === "2" ? "1931-2" : "1964-10");
  return found.size === 1 ? [...found][0] : undefined;
}

/** What a text says about the mirror reflection, and the words that say so. Undefined when it says nothing or both. */
export function specularIn(text: string): { mode: SpecularMode; because: string } | undefined {
  const found: { mode: SpecularMode; because: string }[] = [];
  for (const [mode, pattern] of specularWords) {
    const match = pattern.exec(text);
    if (match) found.push({ mode, because: match[0].trim() });
  }
  return found.length === 1 ? found[0] : undefined;
}

/** A 45° geometry never sees the mirror reflection; a sphere may or may not, as it says. */
const specularWords: readonly (readonly [SpecularMode, RegExp])[] = [
  [
    "included",
    /\b(?:SCI|SPIN|RSIN|di[:/]8|8[:/]di)\b|\b(?:specular|gloss)[\s_-]{0,3}(?:component[\s_-]{0,3})?includ\w*/i,
  ],
  [
    "excluded",
    /\b(?:SCE|SPEX|RSEX|de[:/]8|8[:/]de)\b|\b(?:specular|gloss)[\s_-]{0,3}(?:component[\s_-]{0,3})?exclud\w*|\b(?:45\s{0,3}°?\s{0,3}[ac]?\s{0,3}[:/]\s{0,3}0|0\s{0,3}°?\s{0,3}[:/]\s{0,3}45)/i,
  ],
];
