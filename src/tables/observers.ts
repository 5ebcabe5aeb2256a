import csv1931 from "../../data/colorimetry/observer-1931-2.csv?raw";
import csv1964 from "../../data/colorimetry/observer-1964-10.csv?raw";
import type { ObserverName, ObserverTable } from "../colour/observer.ts";
import { numberColumn, parseCsvTable } from "./csvTable.ts";

/** The observers of the workbench, in the order in which they are offered. */
export const observerNames: readonly ObserverName[] = Object.freeze<ObserverName[]>(["1964-10", "1931-2"]);

const texts: Record<ObserverName, string> = { "1931-2": csv1931, "1964-10": csv1964 };
const read = new Map<ObserverName, ObserverTable>();

/** Colour-matching functions of an observer, 360…830 nm by 1 nm; read once. @throws RangeError for an unknown name */
export function observerTable(name: ObserverName): ObserverTable {
  if (!Object.hasOwn(texts, name)) {
    throw new RangeError(`observer "${name}" is unknown; known: ${observerNames.join(", ")}`);
  }
  let table = read.get(name);
  if (table === undefined) {
    const csv = parseCsvTable(texts[name], `observer-${name}.csv`);
    table = Object.freeze({
      name,
      wavelengths: numberColumn(csv, "wavelength_nm"),
      x: numberColumn(csv, "x_bar"),
      y: numberColumn(csv, "y_bar"),
      z: numberColumn(csv, "z_bar"),
    });
    read.set(name, table);
  }
  return table;
}
