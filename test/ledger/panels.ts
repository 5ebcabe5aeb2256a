import type { Panel } from "../../src/ledger/panel.ts";

const wavelengths = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);

/** A panel like any other: invented. */
export function panelOf(label: string, changes: Partial<Panel> = {}): Panel {
  return {
    label,
    basis: "volume",
    parts: [
      { name: "Red oxide paste", component: "red-oxide", amount: 8, batch: "R1" },
      { name: "Clear binder", component: "clear-binder", amount: 92 },
    ],
    thickness: { basis: "wet", value: 60, errorPercent: 8 },
    coats: 2,
    ground: {
      name: "white card",
      reading: { specular: "included", wavelengths, values: wavelengths.map(() => 0.82) },
    },
    reading: {
      kind: "spectrum",
      specular: "excluded",
      wavelengths,
      values: wavelengths.map((nm) => Number((0.05 + (nm - 380) / 1000).toFixed(4))),
    },
    habit: "bench instrument",
    date: "2031-05-04",
    origin: "invented",
    setAside: "",
    ...changes,
  };
}

/** A panel of which only a colour is known. */
export function colourPanelOf(label: string, changes: Partial<Panel> = {}): Panel {
  return panelOf(label, {
    reading: {
      kind: "lab",
      specular: "included",
      Lab: [41.2, 30.5, 22.25],
      illuminant: "D65",
      observer: "1964-10",
      sigma: 0.5,
    },
    ...changes,
  });
}
