import type { ObserverName } from "../../../src/colour/observer.ts";
import { noteDoubtOfLab } from "../../../src/colour/surfaceColour.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import { colourRead } from "../../../src/job/panelsForLedger.ts";
import type { Panel } from "../../../src/ledger/panel.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { smoothestFor } from "../../../src/ports/labCurve.ts";
import { onWorkingGrid, type SpectrumParameter } from "../../../src/ports/spectrum.ts";

/** What the cell says of its test panel. */
interface TypedPanel {
  readonly panel: string;
  readonly spectrum: SpectrumParameter | null;
  readonly L: number;
  readonly a: number;
  readonly b: number;
  readonly specular: "included" | "excluded";
  /** light and observer that the Lab is stated for, where they are not the viewing cell's */
  readonly readFor: { readonly observer: ObserverName; readonly illuminant: string } | null;
}

/** @throws InputError for a panel of which nothing is known yet, or of a part that is not there */
export function checkPanel(
  p: { readonly panel: string; readonly awaited: boolean; readonly panelPart: number },
  parts: number,
): void {
  if (p.panel === "none") {
    throw new InputError("The test panel is not measured yet", {
      toGive: true,
      field: "panel",
      wayOut: "Spray a panel of the mix, let it dry, measure it, and say here how",
    });
  }
  if (p.panel === "lab" && p.awaited) {
    throw new InputError("The Lab of the panel is not typed yet", {
      toGive: true,
      field: "panel",
      wayOut: "Type or paste its L*, a* and b*, or bring in a file",
    });
  }
  if (p.panelPart > parts) {
    throw new InputError(`There is no part number ${p.panelPart}: the coverage cell has ${parts}`, {
      field: "panelPart",
      wayOut: `Choose 0 to ${parts}`,
    });
  }
}

/** The panel as it was read, for the ledger. */
export function readPanel(
  p: Omit<TypedPanel, "specular"> & { readonly panelPart: number },
  specular: "included" | "excluded",
  coverage: Coverage,
): { part: number | undefined; reading: Panel["reading"] } {
  const part = p.panelPart === 0 ? undefined : p.panelPart - 1;
  if (p.panel !== "spectrum" || !p.spectrum)
    return { part, reading: colourRead(p, specular, p.readFor ?? coverage.viewing.weights) };
  const { wavelengths, values } = p.spectrum;
  return { part, reading: { kind: "spectrum", specular, wavelengths, values } };
}

/** The panel as a target is: seen and compared. */
export function readingOf(p: TypedPanel, { viewing }: Coverage, note: (text: string) => void) {
  const label = "test panel";
  if (p.panel === "lab") {
    noteDoubtOfLab([p.L, p.a, p.b], note);
    const { observer, illuminant } = p.readFor ?? viewing.weights;
    const { specular } = p;
    const stated = { Lab: Float64Array.of(p.L, p.a, p.b), observer, illuminant, specular };
    const elsewhere = observer !== viewing.weights.observer || illuminant !== viewing.weights.illuminant;
    const curve = elsewhere ? { curve: smoothestFor(stated, note) } : {};
    return { kind: "lab" as const, label, ...stated, ...curve };
  }
  if (!p.spectrum) {
    throw new InputError("No spectrum of the panel is loaded", {
      toGive: true,
      field: "spectrum",
      wayOut: "Drop a CSV file, or type a Lab reading",
    });
  }
  return {
    kind: "spectrum" as const,
    label,
    reflectance: onWorkingGrid(p.spectrum, note),
    specular: p.specular,
  };
}
