import type { Component } from "../coating/component.ts";
import type { PlannedStack } from "./panelShelf.ts";

/** A panel that could be made. */
export interface PlannedPanel {
  readonly label: string;
  /** mL as poured */
  readonly parts: readonly { readonly component: string; readonly name: string; readonly amount: number }[];
  readonly ground: string;
  readonly coats: number;
  /** wet, of one coat, µm */
  readonly wetThickness: number;
}

interface Bench {
  /** Components of the job; the first to be tried. */
  readonly components: readonly Component[];
  /** Wet amounts of the recipe, of these components, in any unit. */
  readonly recipe: readonly number[];
  /** Grounds at hand, by name. */
  readonly grounds: readonly { readonly name: string; readonly internal: Float64Array }[];
  /** Usual wet thickness of one coat, µm. */
  readonly wetThickness: number;
}

/** Share of paste in a let-down, as it is usually poured (common practice). */
const letDown = 0.1;
const most = 120;

/**
 * Panels that a person could make to learn about a job: each paste as it is and let down in the binder, two pastes of the
 * recipe in equal parts and one in ten, and the recipe itself; over each ground, in one coat and in two.
 */
export function candidatePanels({ components, recipe, grounds, wetThickness }: Bench): PlannedPanel[] {
  const pastes = components.filter(({ role }) => role !== "binder");
  const binder = components.find(({ role }) => role === "binder");
  const pours: { label: string; parts: PlannedPanel["parts"] }[] = [];
  const part = ({ id, name }: Component, amount: number) => ({ component: id, name, amount });
  const inBinder = (label: string, parts: readonly (readonly [Component, number])[]) => {
    const poured = parts.map(([component, share]) => part(component, (binder ? letDown : 1) * share * 100));
    pours.push({ label, parts: binder ? [...poured, part(binder, (1 - letDown) * 100)] : poured });
  };
  const total = recipe.reduce((sum, one) => sum + one, 0);
  if (total > 0) {
    pours.push({
      label: "The recipe as it is",
      parts: components.flatMap((one, k) => (recipe[k] > 0 ? [part(one, (100 * recipe[k]) / total)] : [])),
    });
  }
  for (const paste of pastes) {
    pours.push({ label: `${paste.name} as it is`, parts: [part(paste, 100)] });
    if (binder) inBinder(`${paste.name} let down`, [[paste, 1]]);
  }
  pastes.forEach((one, k) => {
    for (const other of pastes.slice(k + 1)) {
      inBinder(`${one.name} and ${other.name}, equal`, [
        [one, 0.5],
        [other, 0.5],
      ]);
      inBinder(`A little ${one.name} in ${other.name}`, [
        [one, 0.1],
        [other, 0.9],
      ]);
      inBinder(`A little ${other.name} in ${one.name}`, [
        [one, 0.9],
        [other, 0.1],
      ]);
    }
  });
  return pours
    .flatMap(({ label, parts }) =>
      grounds.flatMap(({ name }) =>
        [1, 2].map((coats): PlannedPanel => ({ label, parts, ground: name, coats, wetThickness })),
      ),
    )
    .slice(0, most);
}

/** A planned panel as films, for the shelf. */
export function stackOfPlan(
  plan: PlannedPanel,
  { components, grounds }: Pick<Bench, "components" | "grounds">,
): PlannedStack {
  const byId = new Map(components.map((component) => [component.id, component]));
  const wet = plan.parts.reduce((sum, { amount }) => sum + amount, 0);
  const thickness = plan.coats * plan.wetThickness;
  return {
    ground: (grounds.find(({ name }) => name === plan.ground) ?? grounds[0]).internal,
    layers: [
      {
        parts: plan.parts.map(({ component, amount }) => ({
          component,
          amount: (amount / wet) * (byId.get(component)?.volumeSolids ?? 1) * thickness,
        })),
      },
    ],
  };
}
