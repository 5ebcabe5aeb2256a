import { emptyNotebook, type NotebookCell, type NotebookDocument } from "../document/notebook.ts";
import type { CellKind, Registry } from "../graph/defineCell.ts";
import { initialParameters } from "../graph/parameters.ts";

type Start = Omit<NotebookCell, "parameters" | "inputs"> &
  Partial<Pick<NotebookCell, "parameters" | "inputs">>;

function notebook(registry: Registry, title: string, cells: readonly Start[]): NotebookDocument {
  return {
    ...emptyNotebook(title),
    cells: cells
      .filter(({ kind }) => registry.has(kind))
      .map((cell) => ({
        inputs: {},
        ...cell,
        parameters: {
          ...initialParameters((registry.get(cell.kind) as CellKind).parameters),
          ...cell.parameters,
        },
      })),
  };
}

/** Every cell that is needed to find the best ground for a colour that was measured, linked; the target waits for its file. */
export function targetStarter(registry: Registry): NotebookDocument {
  return notebook(registry, "From my target", [
    {
      id: "steps",
      kind: "note",
      title: "What to do",
      parameters: {
        text: [
          "1. In **My target** give the measured file.",
          "2. In **My mix** press *Fit to target*. For another colour than a red, open *Search every combination of pastes* " +
            "there instead, and take the recipe you like.",
          "3. In **Best basecoat ratio** read the best ratio and how far it may drift, and press *Take the best ratio*. Mix and " +
            "ground belong together: after a change of one, fit or read the other again.",
          "4. In **My part** say what is to be coated. It starts as one black plastic part.",
          "",
          "Pastes and base paints are invented ones to begin with. Put your own on the shelf when you have calibrated them.",
        ].join("\n"),
      },
    },
    { id: "target", kind: "target", title: "My target" },
    {
      id: "mix",
      kind: "recipe",
      title: "My mix",
      parameters: {
        amounts: [
          { component: "pr254", volume: 12 },
          { component: "pv19", volume: 2 },
          { component: "po73", volume: 2 },
          { component: "pbk7", volume: 0 },
          { component: "pw6", volume: 0 },
          { component: "binder", volume: 84 },
        ],
      },
      inputs: {
        pigments: "rack",
        target: "target",
        viewing: "viewing",
        basecoat: "ground",
        plan: "plan",
        parts: "part",
      },
    },
    {
      id: "ratio",
      kind: "ratio-sweep",
      title: "Best basecoat ratio",
      inputs: { coverage: "cover" },
    },
    {
      id: "ground",
      kind: "basecoat-blend",
      title: "Ground under it",
      parameters: { paints: ["cool-grey", "warm-cream"], ratio: 0.5, coats: 2, wetThickness: 25 },
      inputs: { paints: "base-paints" },
    },
    {
      id: "cover",
      kind: "coverage",
      title: "Coat by coat",
      inputs: {
        recipe: "mix",
        plan: "plan",
        parts: "part",
        viewing: "viewing",
        basecoat: "ground",
        target: "target",
      },
    },
    { id: "part", kind: "substrate", title: "My part", parameters: { grey: 5 } },
    { id: "plan", kind: "coat-plan", title: "Coats of colour" },
    { id: "viewing", kind: "viewing", title: "Light and eye" },
    {
      id: "rack",
      kind: "pigment-set",
      title: "Pastes on my shelf",
      parameters: { set: "Lantern Room rack" },
    },
    {
      id: "base-paints",
      kind: "pigment-set",
      title: "Base paints on my shelf",
      parameters: { set: "Lantern Room base paints" },
    },
  ]);
}

/** A calibration with the known components it needs; undefined where there is no such kind of cell. */
export function calibrationStarter(registry: Registry): NotebookDocument | undefined {
  if (!registry.has("calibration")) return undefined;
  return notebook(registry, "A new paste", [
    {
      id: "steps",
      kind: "note",
      title: "What to do",
      parameters: {
        text: [
          "1. Draw the new paste down over a black and white card: by itself, and let down with a white you know.",
          "2. Measure the dry films, and give the file to **The new paste**.",
          "3. Read the verdict. It says what is sure, what is not, and which panel to add.",
          "4. When it is good, take the paste into your pigment set.",
        ].join("\n"),
      },
    },
    {
      id: "calibration",
      kind: "calibration",
      title: "The new paste",
      inputs: { pigments: "rack", viewing: "viewing" },
    },
    { id: "viewing", kind: "viewing", title: "Light and eye" },
    {
      id: "rack",
      kind: "pigment-set",
      title: "What I know already",
      parameters: { set: "Lantern Room rack" },
    },
  ]);
}
