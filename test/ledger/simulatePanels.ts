import type { Component } from "../../src/coating/component.ts";
import { wavelengths as wavelengthsOf, workingGrid } from "../../src/colour/grid.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import type { Panel } from "../../src/ledger/panel.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { toInternal, toMeasuredInto, usualSurface } from "../../src/optics/interface.ts";

const nm = wavelengthsOf(workingGrid);
const { externalReflection: k1, internalReflection: k2 } = usualSurface;

/** A film to be simulated. */
export interface Pour {
  readonly label: string;
  /** mL of components, by id */
  readonly parts: Readonly<Record<string, number>>;
  /** what is really in it, where two bottles were mixed up */
  readonly really?: Readonly<Record<string, number>>;
  readonly ground: "white card" | "black card";
  readonly coats?: number;
  readonly batch?: Readonly<Record<string, string>>;
  readonly habit?: string;
  readonly date?: string;
}

export interface Truth {
  readonly components: readonly Component[];
  /** strength of bottles: "id: bottle" */
  readonly bottles?: Readonly<Record<string, number>>;
}

/** Pastes as they really are: what the shelf says, off by a smooth factor. */
export function trueComponents(shelf: readonly Component[], sigma: number, seed: number): Component[] {
  const random = seededRandom(seed);
  const smooth = () => {
    const level = sigma * normal(random);
    const knots = Array.from({ length: 8 }, () => 0.6 * sigma * normal(random));
    return nm.map((at) => {
      const x = ((at - 380) / 350) * 6.99;
      const k = Math.floor(x);
      return Math.exp(level + knots[k] * (k + 1 - x) + knots[k + 1] * (x - k));
    });
  };
  return shelf.map((component) => {
    const byK = smooth();
    const byS = smooth();
    return {
      ...component,
      absorption: component.absorption.map((K, i) => K * byK[i]),
      scattering: component.scattering.map((S, i) => S * byS[i]),
    };
  });
}

export const cards = { "white card": 0.84, "black card": 0.06 } as const;

/** Internal reflectance of a card. */
export function cardInternal(ground: keyof typeof cards): Float64Array {
  return new Float64Array(nm.length).fill(toInternal(cards[ground], k1, k2, "included"));
}

/** Reflectance, mirror part included, of films as they really are: coats of 60 µm wet. */
export function trueReflectance(
  { components, bottles = {} }: Truth,
  { parts, really = parts, ground, coats = 1, batch = {} }: Pour,
  jitter: (sigma: number) => number = () => 1,
): Float64Array {
  const poured = Object.entries(really).map(([id, amount]) => {
    const component = components.find((one) => one.id === id) as Component;
    const strength = bottles[`${id}: ${batch[id]}`] ?? 1;
    return { component, strength, wet: amount * jitter(0.03) };
  });
  const wet = poured.reduce((sum, one) => sum + one.wet, 0);
  const laid = 60 * coats * jitter(0.08);
  const K = new Float64Array(nm.length);
  const S = new Float64Array(nm.length);
  for (const { component, strength, wet: own } of poured) {
    const X = (own / wet) * laid * component.volumeSolids * strength;
    for (let i = 0; i < nm.length; i++) {
      K[i] += X * component.absorption[i];
      S[i] += X * component.scattering[i];
    }
  }
  const R = new Float64Array(nm.length);
  filmReflectanceInto(K, S, 1, cardInternal(ground), R);
  toMeasuredInto(R, k1, k2, "included", R);
  return R;
}

/** Panels as a hand lays them and an instrument reads them: doses 3 %, thickness 8 %, a smooth misfit of about ΔE 0.6. */
export function simulatePanels(truth: Truth, pours: readonly Pour[], seed: number): Panel[] {
  const random = seededRandom(seed);
  const jitter = (sigma: number) => Math.exp(sigma * normal(random));
  return pours.map((pour): Panel => {
    const R = trueReflectance(truth, pour, jitter);
    const level = 0.004 * normal(random);
    const tilt = 0.004 * normal(random);
    const values = Array.from(R, (value, i) => {
      const misfit = level + tilt * ((nm[i] - 555) / 175);
      return Number(((Math.cbrt(value) + misfit) ** 3 + 0.001 * normal(random)).toFixed(4));
    });
    const reading = { specular: "included" as const, wavelengths: [...nm], values };
    return {
      label: pour.label,
      basis: "volume",
      parts: Object.entries(pour.parts).map(([component, amount]) => {
        const { name } = truth.components.find((one) => one.id === component) as Component;
        const batch = pour.batch?.[component];
        return { name, component, amount, ...(batch ? { batch } : {}) };
      }),
      thickness: { basis: "wet", value: 60, errorPercent: 8 },
      coats: pour.coats ?? 1,
      ground: {
        name: pour.ground,
        reading: {
          specular: "included",
          wavelengths: [...nm],
          values: Array.from(nm, () => cards[pour.ground]),
        },
      },
      reading: { kind: "spectrum", ...reading },
      habit: pour.habit ?? "bench instrument",
      date: pour.date ?? "",
      origin: "invented",
      setAside: "",
    };
  });
}
