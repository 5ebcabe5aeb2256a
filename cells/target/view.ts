import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { type ReflectanceCurve, reflectanceChart } from "../../src/charts/reflectanceChart.ts";
import { seenFromMeasured } from "../../src/coating/eye.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { LabToXYZ } from "../../src/colour/Lab.ts";
import type { ObserverName } from "../../src/colour/observer.ts";
import { assumedCurve } from "../../src/controls/assumedCurve.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { colourReader, typedLab } from "../../src/exchange/lazyReaders.ts";
import { scaleAmong } from "../../src/exchange/oneColour.ts";
import "../../src/controls/colourInput.ts";
import type { TakenColours } from "../../src/controls/colourInput.ts";
import { differenceText, LabText } from "../../src/controls/numbers.ts";
import { panel, screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import "../../src/controls/saveButtons.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ColourSample } from "../../src/exchange/colourSample.ts";
import { curveSamples, type ExportFile, LabFiles, reflectanceFiles } from "../../src/exchange/exportFiles.ts";
import { previewOf } from "../../src/exchange/preview.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { bothWays } from "../../src/ports/statedLab.ts";
import type { AssumedCurve } from "../../src/ports/target.ts";
import { labelOfIlluminant, lightOptions } from "../../src/tables/illuminants.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { type TargetValue, target, type Unsaid } from "./define.ts";
import type { ReadingsReport } from "./model/readings.ts";
import { takenColours } from "./view/taken.ts";

const tag = "bole-view-target";
export default tag;

type Parameters = ParameterValues<typeof target.parameters>;

const grid = wavelengths(workingGrid);
const surface = { externalReflection: 0.04, internalReflection: 0.6 };
/** Questions for what a file may leave unsaid; the field of the same name answers them. */
const questions: Record<Unsaid, string> = {
  specular: "Was it read with the surface reflection included (sphere, SCI) or excluded (45/0, SCE)?",
  illuminant: "Under which light is the Lab stated?",
  observer: "For which observer is it stated?",
};

@customElement(tag)
export class TargetView extends CellView<TargetValue, Parameters> {
  #chart: { value: TargetValue; draw: ChartDraw } | undefined;
  /** One that was blank, or needed a person, stays open for what else is to be said. */
  #open = false;

  protected override render() {
    const { unsaid } = this.parameters;
    const { value } = this;
    const field = (name: keyof typeof target.parameters) => parameterField(this, target.parameters, name);
    this.#open ||= !value || this.outcome.status === "error";
    return html`
      <div class="beside">
        <div>
          ${value && this.outcome.status === "ok" ? this.verdictLine(false) : nothing}
          ${value && this.parameters.specular === "unknown" ? this.#either(value) : nothing}
          ${unsaid.length > 0 ? this.#ask(unsaid, field) : nothing} ${value ? this.#panel(value) : nothing}
        </div>
        ${value ? this.#curve(value) : nothing}
      </div>
      ${this.#assumed()}
      ${value?.readings ? this.#readings(value.readings) : nothing}
      ${
        this.#open
          ? this.#settings(value, field)
          : html`<details>
              <summary>Another colour, and how this one was read</summary>
              ${this.#settings(value, field)}
            </details>`
      }
    `;
  }

  #settings(value: TargetValue | undefined, field: (name: keyof typeof target.parameters) => unknown) {
    const { source, unsaid, curve } = this.parameters;
    return html`<bole-colour-input
        label=${value ? "Another measured colour" : "Measured colour"}
        stays="The target stays as it was."
        .reader=${colourReader}
        .readText=${typedLab}
        .typing=${!this.value}
        .preview=${previewOf}
        .lights=${lightOptions}
        @colours=${(event: CustomEvent<TakenColours<ColourSample>>) => this.set(takenColours(event.detail, this.parameters))}
      ></bole-colour-input>
      <div class="fields settings">
        ${field("source")} ${unsaid.includes("specular") ? nothing : field("specular")}
        ${source === "lab" ? this.#LabFields(field) : nothing}
      </div>
      ${
        source === "lab"
          ? html`<details ?open=${curve !== "none"}>
              <summary>Other lights</summary>
              <div class="fields">${field("curve")}</div>
              ${
                value?.kind === "lab" && value.curve
                  ? html`${assumedCurve(value.curve, labelOfIlluminant)}
                      <bole-save-buttons label="the curve made for it" .name=${`${this.cell.title}, curve`} .files=${this.#madeFiles(value.curve, value)}></bole-save-buttons>`
                  : nothing
              }
            </details>`
          : nothing
      }
      <details>
        <summary>Surface reflection: with or without</summary>
        <p>
          Other cells allow for the surface reflection by themselves. Change this only to compare with figures that were read the
          other way: it is right for a glossy surface, and only roughly for a matt or grained one.
        </p>
        <div class="fields">${field("handOn")} ${field("externalReflection")}</div>
      </details>
      ${value ? html`<bole-save-buttons label="this colour" .name=${this.cell.title} .files=${this.#files(value)}></bole-save-buttons>` : nothing}`;
  }

  /** What each answer would mean, where nobody knows whether the surface is in the reading. */
  #either(value: TargetValue) {
    const { Lab, weights } = this.#seen(value);
    const { ifIncluded, ifExcluded, apart } = bothWays(Lab, weights, this.parameters.externalReflection);
    return html`<p class="soft">
      Nobody knows whether the surface reflection is in it. ${
        ifIncluded
          ? html`With it, the colour below the surface is ${LabText(ifIncluded)}; without it, ${LabText(ifExcluded)}: ΔE00
              ${differenceText(apart!)} apart.`
          : html`With it nothing would be left below the surface.`
      }
      Taken: ${value.specular}. A reading of anything black tells it for the instrument: below L* 24 it leaves the surface out.
    </p>`;
  }

  #ask(unsaid: readonly Unsaid[], field: (name: Unsaid) => unknown) {
    return html`<bole-message kind="note" text="The file does not say everything. Until you do, the answers below are taken.">
      ${unsaid.map(
        (what) => html`<div class="question">
          <p>${questions[what]}</p>
          ${field(what)}
          <button @click=${() => this.set({ unsaid: unsaid.filter((other) => other !== what) })}>It is so</button>
        </div>`,
      )}
    </bole-message>`;
  }

  /** An answer given is no longer asked for. */
  override change(patch: Record<string, unknown>, live: boolean): void {
    const { unsaid } = this.parameters;
    const left = unsaid.filter((what) => !(what in patch));
    super.change(left.length < unsaid.length ? { ...patch, unsaid: left } : patch, live);
  }

  #LabFields(field: (name: keyof typeof target.parameters) => unknown) {
    const { readings, unsaid } = this.parameters;
    const several = readings.some(({ kind }) => kind === "lab");
    return [
      ...(several ? [] : (["L", "a", "b"] as const)),
      ...(["illuminant", "observer"] as const).filter((what) => !unsaid.includes(what)),
    ].map(field);
  }

  #readings({ labels, Labs, statistics }: ReadingsReport) {
    const { outliers, differences, spread, largestDifference } = statistics;
    return html`
      <div class="scroll" tabindex="0" role="region" aria-label="Readings">
        <table>
          <caption class="unseen">Each reading, and how far it lies from the mean</caption>
          <thead>
            <tr>
              <th scope="col">Reading</th>
              <th scope="col">Colour</th>
              <th scope="col" class="number">ΔE00 from the mean</th>
              <th scope="col"><span class="unseen">Take it out</span></th>
            </tr>
          </thead>
          <tbody>
            ${labels.map(
              (label, i) => html`<tr>
                <th scope="row">${label}${outliers.includes(i) ? html` <span class="soft">(left out)</span>` : nothing}</th>
                <td>${LabText(Labs[i])}</td>
                <td class="number">${differenceText(differences[i])}</td>
                <td>
                  <button aria-label=${`Take out ${label}`} @click=${() => this.#takeOut(i)}>Take out</button>
                </td>
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
      <p>
        Spread (1σ): L* ${spread[0].toFixed(2)}, a* ${spread[1].toFixed(2)}, b* ${spread[2].toFixed(2)}; the farthest reading that
        counts lies ΔE00 ${differenceText(largestDifference)} from the mean.
      </p>
      <div class="fields">${parameterField(this, target.parameters, "outliers")}</div>
    `;
  }

  #takeOut(index: number): void {
    const { readings, source } = this.parameters;
    const kind = source === "lab" ? "lab" : "spectrum";
    const own = readings.filter((reading) => reading.kind === kind);
    const left = own.filter((_, i) => i !== index);
    this.set({ readings: left });
  }

  #panel(value: TargetValue) {
    const seen = this.#seen(value);
    return html`<div class="panels">
      ${panel({ label: "As read", subLabel: this.outcome.status === "ok" ? "" : LabText(seen.Lab) }, seen.XYZ, { weights: seen.weights, gamut: "srgb" })}
    </div>`;
  }

  #curve(value: TargetValue) {
    const seen = this.#seen(value);
    const curve = value.kind === "spectrum" ? value.reflectance : value.curve?.reflectance;
    if (!curve) return nothing;
    return html`<bole-chart
      label=${value.kind === "lab" ? "A curve with this Lab, one of many" : "Reflectance of the target"}
      .summary=${
        value.kind === "lab"
          ? "Not measured: one of the many reflectances with this Lab"
          : `Measured reflectance from ${grid[0]} to ${grid[grid.length - 1]} nm, ${LabText(seen.Lab)} in daylight D65`
      }
      summary-hidden
      .height=${240}
      .draw=${this.#draw(value, curve, seen)}
    ></bole-chart>`;
  }

  #draw(
    value: TargetValue,
    curve: Float64Array,
    { XYZ, weights }: { XYZ: Float64Array; weights: { white: ArrayLike<number> } },
  ): ChartDraw {
    if (this.#chart?.value !== value) {
      const colour = screenColour(XYZ, { weights, gamut: "srgb" }).css;
      const { readings } = value;
      const label = value.kind === "lab" ? "one of many" : readings ? "mean" : "target as measured";
      const curves: ReflectanceCurve[] = [
        { label, values: curve, colour, role: value.kind === "lab" ? "opaque" : "target" },
      ];
      // More than a few would only be a thicket; those left out are always among them.
      readings?.curves?.forEach((values, i) => {
        const outlier = readings.statistics.outliers.includes(i);
        if (outlier || (i < 6 && readings.labels.length <= 6)) {
          curves.push({
            label: outlier ? `${readings.labels[i]}, left out` : readings.labels[i],
            values,
            colour,
            role: outlier ? "other" : "film",
          });
        }
      });
      this.#chart = {
        value,
        draw: (Plot, size) => reflectanceChart(Plot, { wavelengths: grid, curves }, size),
      };
    }
    return this.#chart.draw;
  }

  #assumed() {
    const { assumptions } = this.parameters;
    if (assumptions.length === 0) return nothing;
    return html`${scaleAmong(assumptions).map((text) => html`<p class="soft">${text[0].toUpperCase()}${text.slice(1)}.</p>`)}<details>
      <summary>How it was read</summary>
      <ul>
        ${assumptions.map((text) => html`<li>${text}</li>`)}
      </ul>
    </details>`;
  }

  #madeFiles({ reflectance, from }: AssumedCurve, { specular }: TargetValue): ExportFile[] {
    const { title } = this.cell;
    const how = from === "smoothest" ? "the smoothest curve with its Lab" : "a mixture bent to its Lab";
    return reflectanceFiles(
      curveSamples([{ label: title, values: reflectance }], specular),
      `target "${title}", ${how}; made, not measured`,
    );
  }

  #files(value: TargetValue): ExportFile[] {
    const { title } = this.cell;
    const { specular, readings } = value;
    if (value.kind === "spectrum") {
      const each = (readings?.curves ?? []).map((values, i) => ({ label: readings!.labels[i], values }));
      return reflectanceFiles(
        curveSamples([{ label: title, values: value.reflectance }, ...each], specular),
        `target "${title}", reflectance`,
      );
    }
    const [L, a, b] = value.Lab;
    const observer = value.observer as ObserverName;
    const { illuminant } = value;
    return LabFiles(
      [{ kind: "Lab", label: title, Lab: [L, a, b], observer, illuminant, specular }],
      `target "${title}", CIELAB`,
    );
  }

  /** The reading itself, as read, in daylight; the viewing cell has its own light and sheen. */
  #seen(value: TargetValue) {
    if (value.kind === "spectrum") {
      const weights = weightsFor("1964-10", "D65");
      const seen = seenFromMeasured(value.reflectance, "included", { weights, surface, sheen: 1 });
      return { ...seen, weights };
    }
    const weights = weightsFor(value.observer as ObserverName, value.illuminant);
    const XYZ = new Float64Array(3);
    LabToXYZ(value.Lab, weights.white, XYZ);
    return { XYZ, Lab: value.Lab, weights };
  }

  static override styles = [
    ...viewStyles,
    css`
      bole-colour-input,
      .settings {
        margin-block: 16px;
      }
      .question {
        max-width: 34rem;
        margin-block: 10px;
      }
      .question button {
        margin-block-start: 8px;
      }
      td button {
        font-weight: 400;
      }
    `,
  ];
}
