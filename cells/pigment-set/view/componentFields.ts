import { html, nothing, type TemplateResult } from "lit";
import { measureText, readSizes } from "../../../src/units/units.ts";
import "../../../src/controls/colourInput.ts";
import type { TakenColours } from "../../../src/controls/colourInput.ts";
import { LabText } from "../../../src/controls/numbers.ts";
import type { ColourSample } from "../../../src/exchange/colourSample.ts";
import { colourReader, typedLab } from "../../../src/exchange/lazyReaders.ts";
import { oneColour } from "../../../src/exchange/oneColour.ts";
import { previewOf } from "../../../src/exchange/preview.ts";
import type { ComponentParameter, ReadyReading } from "../../../src/ports/pigmentSet.ts";
import { sourceOf } from "../../../src/ports/spectrum.ts";
import { statedLabOf, surfaceQuestion } from "../../../src/ports/statedLab.ts";
import { lightOptions } from "../../../src/tables/illuminants.ts";
import { readyFigures, readyNote, usualPaint } from "../model/readyComponent.ts";
import { freeId } from "../model/shelf.ts";

const roles = [
  { value: "base paint", label: "a base paint" },
  { value: "paste", label: "a paste" },
  { value: "binder", label: "a clear binder" },
];
/** A film and its card, until the person says otherwise. */
const usualFilm = { thickness: 20, thicknessDoubt: 0.15, black: 0.05, white: 0.8 } as const;

type Taken = TakenColours<ColourSample>;

/** A place for one colour. @param taken told what was given   @param typing whether the box for typing stands open */
export function colourPlace(label: string, taken: (found: Taken) => void, typing = false): TemplateResult {
  return html`<bole-colour-input
    .label=${label}
    stays="The shelf stays as it was."
    .reader=${colourReader}
    .readText=${typedLab}
    .typing=${typing}
    .preview=${previewOf}
    .lights=${lightOptions}
    @colours=${(event: CustomEvent<Taken>) => taken(event.detail)}
  ></bole-colour-input>`;
}

function colourOf({ samples, from, conditions, assumptions }: Taken) {
  const found = oneColour(samples, from, conditions, assumptions);
  const { specular } = found;
  if (found.kind === "spectrum") {
    return {
      name: found.spectrum.label,
      colour: { kind: "spectrum" as const, spectrum: found.spectrum },
      specular,
    };
  }
  return {
    name: found.Lab.label,
    colour: { kind: "lab" as const, Lab: statedLabOf(found) },
    specular,
  };
}

/** A ready paint from its colour in a film that hides. @throws InputError for a colour that no film can have */
export function readyFrom(found: Taken, taken: ReadonlySet<string>): ComponentParameter {
  const { name: given, colour, specular } = colourOf(found);
  const name = /^(Sample \d+|)$/.test(given) ? `Ready paint ${taken.size + 1}` : given;
  const ready: ReadyReading = { hiding: colour, specular: specular ?? "unknown" };
  return withReading(
    {
      id: freeId(name, taken),
      name,
      role: "base paint",
      ...usualPaint,
      absorption: [],
      scattering: [],
      provenance: { kind: "measured" },
    },
    ready,
  );
}

function withReading(component: ComponentParameter, ready: ReadyReading): ComponentParameter {
  const told: string[] = [];
  const figures = readyFigures(ready, (text) => told.push(text));
  const note = [readyNote(ready, figures), ...new Set(told)].join(" ");
  const { joint: _, ...rest } = component;
  return { ...rest, ...figures, ready, provenance: { ...component.provenance, note } };
}

/**
 * Everything of a component that a person may set.
 * @param set told the changed component, or what was wrong
 */
export function componentFields(
  component: ComponentParameter,
  set: (changed: ComponentParameter) => void,
  refuse: (trouble: string) => void,
): TemplateResult {
  const put = (patch: Partial<ComponentParameter>) => set({ ...component, ...patch });
  const text = (label: string, value: string, maxLength: number, taken: (value: string) => void, hint = "") =>
    html`<bole-text
      .label=${label} .value=${value} .maxLength=${maxLength} .hint=${hint}
      @change=${(event: CustomEvent<{ value: string }>) => taken(event.detail.value.trim())}
    ></bole-text>`;
  const { provenance } = component;
  return html`<div class="fields">
      ${text("Name of it", component.name, 200, (name) => (name ? put({ name }) : refuse("A name is needed.")))}
      <bole-choice
        label="It is" .options=${roles} .value=${component.role}
        @change=${(event: CustomEvent<{ value: ComponentParameter["role"] }>) => put({ role: event.detail.value })}
      ></bole-choice>
      <bole-number
        label="Density" unit="g/mL" .min=${0.5} .max=${6} .step=${0.01} .digits=${3} .value=${component.density}
        @change=${(event: CustomEvent<{ value: number }>) => put({ density: event.detail.value })}
      ></bole-number>
      <bole-number
        label="Volume solids" unit="%" .min=${1} .max=${100} .step=${1} .digits=${1} .value=${100 * component.volumeSolids}
        @change=${(event: CustomEvent<{ value: number }>) => put({ volumeSolids: event.detail.value / 100 })}
      ></bole-number>
      ${text(
        "Cost of a litre",
        component.costPerMl === undefined ? "" : String(Number((1000 * component.costPerMl).toPrecision(10))),
        20,
        (typed) => {
          const cost = typed === "" ? undefined : Number(typed.replace(",", ".")) / 1000;
          if (cost !== undefined && !(cost >= 0 && cost <= 1e6)) {
            refuse(`The cost "${typed}" is no amount of money: write a number such as 42.50, or nothing.`);
          } else put({ costPerMl: cost, provenance: { ...provenance, price: "own" } });
        },
        "In your own money; empty: not known.",
      )}
      ${text(
        "Least sensible dose",
        component.leastDose === undefined ? "" : String(component.leastDose),
        20,
        (typed) => {
          const dose = typed === "" ? undefined : Number(typed.replace(",", "."));
          if (dose !== undefined && !(dose >= 0 && dose <= 100)) {
            refuse(`The dose "${typed}" is no number from 0 to 100: write mL per 100 mL of mix, or nothing.`);
          } else put({ leastDose: dose });
        },
        "mL per 100 mL of mix; empty: as the recipe says.",
      )}
      ${text(
        "Sold in",
        (component.containers ?? []).map((size) => measureText(size, "volume", "metric")).join(", "),
        200,
        (typed) => {
          try {
            const sizes = readSizes(typed);
            put({ containers: sizes.length > 0 ? sizes : undefined });
          } catch (error) {
            refuse((error as Error).message);
          }
        },
        "Sizes with commas between them, such as 250 mL, 1 L; empty: not known.",
      )}
      ${text("Colour Index name", component.colourIndex ?? "", 60, (name) => put({ colourIndex: name || undefined }))}
      ${text("Note on it", provenance.note ?? "", 1000, (note) => put({ provenance: { ...provenance, note: note || undefined } }))}
    </div>
    ${component.ready ? readyFields(component, component.ready, set, refuse) : nothing}`;
}

/** How a ready paint was read, and the film that narrows its doubt. */
function readyFields(
  component: ComponentParameter,
  ready: ReadyReading,
  set: (changed: ComponentParameter) => void,
  refuse: (trouble: string) => void,
): TemplateResult {
  const again = (changed: ReadyReading) => {
    try {
      set(withReading(component, changed));
    } catch (error) {
      refuse((error as Error).message);
    }
  };
  const film = ready.film ?? usualFilm;
  const side = (what: "overBlack" | "overWhite", label: string) => html`
    ${ready.film?.[what] ? html`<p>${label}: ${said(ready.film[what])}</p>` : nothing}
    ${colourPlace(label, (found) => again({ ...ready, film: { ...film, [what]: colourOf(found).colour } }))}`;
  const number = (
    what: "thickness" | "thicknessDoubt" | "black" | "white",
    label: string,
    unit: string,
    factor: number,
    [min, max]: [number, number],
  ) => html`<bole-number
    .label=${label} .unit=${unit} .min=${min} .max=${max} .step=${1} .digits=${1} .value=${factor * film[what]}
    @change=${(event: CustomEvent<{ value: number }>) => again({ ...ready, film: { ...film, [what]: event.detail.value / factor } })}
  ></bole-number>`;
  return html`
    <p>Read in a film that hides: ${said(ready.hiding)}.</p>
    <div class="fields">
      <bole-choice
        label="Surface reflection in its readings" .options=${surfaceQuestion.options} .value=${ready.specular}
        @change=${(event: CustomEvent<{ value: ReadyReading["specular"] }>) => again({ ...ready, specular: event.detail.value })}
      ></bole-choice>
    </div>
    ${colourPlace("Its hiding colour, read again", (found) => again({ ...ready, hiding: colourOf(found).colour }))}
    <details ?open=${ready.film !== undefined}>
      <summary>A film over black and over white</summary>
      <p>Drawn down so thin that the card shows through, with its dry thickness, it tells how well the paint hides.</p>
      <div class="fields">
        ${number("thickness", "Its dry thickness", "µm", 1, [1, 500])}
        ${number("thicknessDoubt", "Known within ±", "%", 100, [1, 100])}
        ${number("black", "Black of the card reflects", "%", 100, [1, 30])}
        ${number("white", "White of the card reflects", "%", 100, [30, 98])}
      </div>
      ${side("overBlack", "Colour over black")} ${side("overWhite", "Colour over white")}
    </details>
  `;
}

function said(colour: ReadyReading["hiding"]): string {
  return colour.kind === "lab"
    ? LabText([colour.Lab.L, colour.Lab.a, colour.Lab.b])
    : `a spectrum, ${sourceOf(colour.spectrum)}`;
}
