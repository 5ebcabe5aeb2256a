import type { ObserverName } from "../colour/observer.ts";
import { mostLightness } from "../colour/surfaceColour.ts";
import type { SpecularMode } from "../optics/interface.ts";

/** Light and observer that tristimulus values or CIELAB are stated for; undefined where the file does not say. */
export interface Conditions {
  readonly observer?: ObserverName;
  /** as in the table of illuminants: "D65", "FL11" … */
  readonly illuminant?: string;
}

/** A measured reflectance: fractions on strictly rising wavelengths, nm. */
export interface SpectralSample {
  readonly kind: "spectrum";
  readonly label: string;
  readonly wavelengths: readonly number[];
  readonly values: readonly number[];
  /** undefined where the file does not say */
  readonly specular?: SpecularMode;
  /** CIELAB that the file states beside the spectrum, if any. */
  readonly reported?: { readonly Lab: readonly [number, number, number] } & Conditions;
}

/** A colour stated in CIELAB. */
export interface LabSample extends Conditions {
  readonly kind: "Lab";
  readonly label: string;
  readonly Lab: readonly [number, number, number];
  readonly specular?: SpecularMode;
}

/** A colour stated in tristimulus values, Y = 100 for the perfect diffuser. */
export interface XYZSample extends Conditions {
  readonly kind: "XYZ";
  readonly label: string;
  readonly XYZ: readonly [number, number, number];
  readonly specular?: SpecularMode;
}

export type ColourSample = SpectralSample | LabSample | XYZSample;

/** Forms of files that are read. */
export type ColourFileForm = "CSV" | "CGATS" | "CxF3";

/** What a file holds, and in words every choice that was made to read it. */
export interface ColourFile {
  readonly form: ColourFileForm;
  readonly samples: readonly ColourSample[];
  readonly assumptions: readonly string[];
}

/** Allowed ranges of what is read; anything else is refused, never clipped. */
export const colourLimits = {
  characters: 10 * 1024 * 1024,
  samples: 5000,
  wavelengths: { least: 8, most: 2000 },
  nm: { least: 200, most: 2600 },
  fraction: { least: -0.01, most: 1.2 },
  lightness: { least: 0, most: mostLightness },
  chromaAxis: 200,
  XYZ: { least: -0.1, most: 200 },
} as const;

/** Gives every sample a name of its own: "Sample 3" where there is none, "red (2)" for the second "red". */
export function distinctLabels(labels: readonly string[]): string[] {
  const used = new Set<string>();
  const next = new Map<string, number>();
  return labels.map((label, i) => {
    const base = label.trim() === "" ? `Sample ${i + 1}` : label.trim();
    let name = base;
    let number = next.get(base) ?? 2;
    for (; number <= labels.length + 1 && used.has(name); number++) name = `${base} (${number})`;
    next.set(base, number);
    used.add(name);
    return name;
  });
}
