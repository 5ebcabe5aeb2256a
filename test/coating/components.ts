import type { Component } from "../../src/coating/component.ts";
import { workingGrid } from "../../src/colour/grid.ts";

/** A made-up component with flat K and S (1/µm) for tests; nothing of it is measured. */
export function flatComponent(
  name: string,
  K: number,
  S: number,
  more: Partial<Pick<Component, "role" | "density" | "volumeSolids" | "costPerMl">> = {},
): Component {
  return {
    id: name,
    name,
    role: "paste",
    density: 1.1,
    volumeSolids: 0.3,
    absorption: new Float64Array(workingGrid.length).fill(K),
    scattering: new Float64Array(workingGrid.length).fill(S),
    provenance: { kind: "invented" },
    ...more,
  };
}
