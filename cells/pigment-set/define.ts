import * as v from "valibot";
import { beyondAnyPaint } from "../../src/coating/component.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { LearntPanel } from "../../src/ledger/besideLedger.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { componentFrom, componentSchema, type PigmentSet } from "../../src/ports/pigmentSet.ts";
import { componentSets } from "../../src/tables/lanternRoom.ts";
import { plural } from "../../src/words/plural.ts";

const sets = Object.keys(componentSets);

export const pigmentSet = defineCell({
  kind: "pigment-set",
  label: "Pigment set",
  about:
    "The pastes, binder and base paints on your shelf, each with its absorption K and scattering S per µm of dry film. " +
    "Recipes and basecoats choose from here.",
  inputs: {},
  output: "pigment-set",
  parameters: {
    set: {
      type: "choice",
      label: "Start from",
      options: [
        ...sets.map((name) => ({ value: name, label: name })),
        { value: "none", label: "An empty shelf" },
      ],
      initial: sets[0],
    },
    leftOut: {
      type: "value",
      label: "Left out",
      help: "Components of the set that are not on your shelf.",
      schema: v.pipe(v.array(v.string()), v.maxLength(200)),
      initial: [] as string[],
    },
    added: {
      type: "value",
      label: "Added components",
      help: "Components of your own, for instance from a calibration.",
      schema: v.pipe(v.array(componentSchema), v.maxLength(100)),
      initial: [] as v.InferOutput<typeof componentSchema>[],
    },
    learntFrom: {
      type: "value",
      label: "Panels it was learnt from",
      help: "So that the shelf can say when the ledger of panels has more.",
      schema: v.pipe(
        v.array(
          v.strictObject({
            id: v.pipe(v.string(), v.maxLength(64)),
            state: v.pipe(v.string(), v.maxLength(20)),
          }),
        ),
        v.maxLength(400),
      ),
      initial: [] as LearntPanel[],
    },
  },
  compute: (_, { set, leftOut, added }, { title, note, id }): PigmentSet => {
    const base = set === "none" ? [] : componentSets[set]();
    const own = added.map(componentFrom);
    for (const component of own) {
      const beyond = beyondAnyPaint(component);
      if (beyond !== undefined) note(beyond);
    }
    const taken = new Set(own.map((component) => component.id));
    if (taken.size < own.length) {
      throw new InputError("Two added components have the same id", {
        field: "added",
        wayOut: "Remove one of them",
      });
    }
    const replaced = base.filter((component) => taken.has(component.id));
    for (const component of replaced)
      note(`${component.name}: your own component takes the place of the set's`);
    const components = [...base.filter((c) => !taken.has(c.id) && !leftOut.includes(c.id)), ...own];
    if (components.length === 0) {
      throw new InputError("The shelf is empty", {
        toGive: true,
        field: base.length > 0 ? "leftOut" : "added",
        wayOut:
          base.length > 0
            ? "Put at least one component back"
            : "Add a ready paint by its colour, bring in a shelf as CSV, calibrate a paste, or start from an invented set",
      });
    }
    return { cell: id, added, name: title, components };
  },
  verdict: ({ components }) => {
    const counted = (["paste", "binder", "base paint"] as const).flatMap((role) => {
      const count = components.filter((component) => component.role === role).length;
      return count > 0 ? [plural(count, role)] : [];
    });
    return { text: `${counted.join(", ")} on the shelf.`, figure: counted[0] };
  },
  summarise: ({ components }) => ({ components: components.map((component) => component.name) }),
});

export default pigmentSet;
