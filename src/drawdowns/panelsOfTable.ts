import type { Component } from "../coating/component.ts";
import { wavelengths as wavelengthsOf, workingGrid } from "../colour/grid.ts";
import type { Panel, PanelFilm } from "../ledger/panel.ts";
import { groundKey, type KeptDrawdowns, ownLabels } from "./keptTable.ts";

const nm = [...wavelengthsOf(workingGrid)];

interface Told {
  /** The paste that was drawn down. */
  readonly paste: { readonly id: string; readonly name: string };
  readonly known: readonly Component[];
  readonly date: string;
  readonly origin: string;
}

/** Drawdowns in the form of the ledger: a panel for each reading whose ground was read bare, and how many were not. */
export function panelsOfTable(
  { films, bare, components }: KeptDrawdowns,
  { paste, known, date, origin }: Told,
): { panels: Panel[]; passedOver: number } {
  const grounds = new Map(bare.map((reading) => [groundKey(reading.ground), reading]));
  const names = [
    paste,
    ...components.map((called) => {
      const found = known.find(({ id, name }) =>
        [id, name].some((one) => one.toLowerCase() === called.toLowerCase()),
      );
      return { id: found?.id, name: found?.name ?? called };
    }),
  ];
  const labels = ownLabels(films);
  let passedOver = 0;
  const panels = films.flatMap((film, f) =>
    film.readings.flatMap((reading): Panel[] => {
      const ground = grounds.get(groundKey(reading.ground));
      const parts = film.amounts.flatMap((amount, k): PanelFilm["parts"] => {
        const { id, name } = names[k] ?? { id: undefined, name: "unnamed" };
        return amount > 0 ? [{ name, amount, ...(id ? { component: id } : {}) }] : [];
      });
      if ((!ground && film.thickness.kind !== "opaque") || parts.length === 0) {
        passedOver++;
        return [];
      }
      const { thickness } = film;
      return [
        {
          label: labels[f],
          basis: film.basis,
          parts,
          thickness:
            thickness.kind === "stated"
              ? {
                  basis: thickness.basis,
                  value: thickness.value,
                  ...(thickness.errorPercent ? { errorPercent: thickness.errorPercent } : {}),
                }
              : thickness.kind,
          coats: 1,
          ground: {
            name: reading.ground,
            ...(ground
              ? { reading: { specular: ground.specular, wavelengths: nm, values: [...ground.reflectance] } }
              : {}),
          },
          reading: {
            kind: "spectrum",
            specular: reading.specular,
            wavelengths: nm,
            values: [...reading.reflectance],
          },
          ...{ habit: "", date, origin },
          setAside: film.use ? "" : "left out of its calibration",
        },
      ];
    }),
  );
  return { panels, passedOver };
}
