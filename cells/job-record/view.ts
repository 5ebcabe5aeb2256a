import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import "../../src/controls/boleFile.ts";
import "../../src/controls/colourInput.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import type { TakenColours } from "../../src/controls/colourInput.ts";
import { differenceText, LabText } from "../../src/controls/numbers.ts";
import { panel, screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import "../../src/controls/toLedger.ts";
import { UntilEdited } from "../../src/controls/untilEdited.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ColourSample } from "../../src/exchange/colourSample.ts";
import { colourReader, typedLab } from "../../src/exchange/lazyReaders.ts";
import { previewOf } from "../../src/exchange/preview.ts";
import { messageOf } from "../../src/graph/messageOf.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { JobBatch, LayerKind } from "../../src/job/batch.ts";
import {
  type JobRecord,
  type MeasuredPart,
  type RecordedPart,
  typicalMiss,
  withEntries,
} from "../../src/job/jobRecord.ts";
import { recordPanels } from "../../src/job/panelsForLedger.ts";
import { specularOf, specularWords } from "../../src/ports/specularParameter.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import { lightOptions } from "../../src/tables/illuminants.ts";
import { plural } from "../../src/words/plural.ts";
import { historyIn, jobRecord } from "./define.ts";
import { recordChart } from "./view/recordChart.ts";
import { takenReading } from "./view/taken.ts";

const tag = "bole-view-job-record";
export default tag;

@customElement(tag)
export class JobRecordView extends CellView<
  JobRecord,
  ParameterValues<typeof jobRecord.parameters>,
  { batch: JobBatch }
> {
  @state() private trouble = "";
  /** Part whose reading is asked for. */
  @state() private asked = "";
  @state() private unread = "";
  protected readonly untilEdited = new UntilEdited(this, () => {
    this.trouble = "";
    this.unread = "";
  });
  @state() private told = "";
  #drawn: { value: JobRecord; chart: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    const field = (name: keyof typeof jobRecord.parameters) =>
      parameterField(this, jobRecord.parameters, name);
    return html`
      ${this.verdictLine(false)}
      <div class="fields">${field("date")} ${field("specular")}</div>
      <p class="soft">${specularWords(this.parameters.specular, this.linked.batch?.coverage.target)}</p>
      ${
        value
          ? html`
              <h3>Readings</h3>
              <div class="parts">${value.parts.map((part) => this.#part(value, part))}</div>
              ${this.unread ? html`<bole-message kind="error" field="Readings" .text=${this.unread}><p>The record stays as it was.</p></bole-message>` : nothing}
              <details>
                <summary>What was really weighed</summary>
                <div class="fields">${value.amounts.map((amount) => this.#amount(amount))}</div>
              </details>
              <details>
                <summary>Coats really laid</summary>
                <div class="fields">${value.coats.map((coats) => this.#coats(coats))}</div>
              </details>
            `
          : nothing
      }
      ${field("remarks")}
      <div class="row">
        <button ?disabled=${!value?.parts.some((part) => part.measured)} @click=${() => this.act("keep")}>
          ${jobRecord.actions?.keep.label}
        </button>
        ${
          value
            ? html`<bole-to-ledger
                .panels=${recordPanels(value, this.parameters.measured, {
                  specular: specularOf(this.parameters.specular, value.batch.coverage.target),
                  date: this.parameters.date,
                  origin: this.cell.title,
                })}
              ></bole-to-ledger>`
            : nothing
        }
      </div>
      ${value ? this.#history(value) : nothing}
      <details>
        <summary>Bring in records of other notebooks</summary>
        <bole-file
          label="Another notebook with job records"
          accept=".json"
          .maxBytes=${20_000_000}
          @file=${(event: CustomEvent<{ name: string; text: string }>) => this.#bringIn(event.detail)}
        ></bole-file>
        ${this.trouble ? html`<bole-message kind="error" field="Another notebook" .text=${this.trouble}><p>The history stays as it was.</p></bole-message>` : nothing}
        ${this.told ? html`<p role="status">${this.told}</p>` : nothing}
      </details>
    `;
  }

  #part({ batch }: JobRecord, part: RecordedPart) {
    const { viewing } = batch.coverage;
    const reading = this.parameters.measured.find((entry) => entry.part === part.name);
    const subLabel = part.measured
      ? `predicted ${differenceText(part.asBuilt.difference)}, measured ${differenceText(part.measuredDifference)} · model off by ΔE00 ${differenceText(part.modelMiss)}`
      : `predicted ${differenceText(part.asBuilt.difference)} · should read ${LabText(part.expected)}`;
    return html`<div class="part">
      ${this.#panel(part, subLabel, viewing)}
      ${
        reading
          ? html`<div class="reading">
              ${(["L", "a", "b"] as const).map(
                (axis) => html`<bole-number
                  .label=${`${axis}* of ${part.name}`}
                  .value=${reading[axis]}
                  .min=${axis === "L" ? 0 : -150}
                  .max=${axis === "L" ? 100 : 150}
                  .step=${0.1}
                  .digits=${2}
                  @change=${(event: CustomEvent<{ value: number }>) =>
                    this.#setReading({ ...reading, [axis]: event.detail.value })}
                ></bole-number>`,
              )}
              <button
                aria-label=${`Take away the reading of ${part.name}`}
                @click=${() => this.#dropReading(part.name)}
              >Take away</button>
            </div>`
          : this.asked === part.name
            ? html`<bole-colour-input
                label=${`Reading of ${part.name}`}
                stays="The record stays as it was."
                typing
                .reader=${colourReader}
                .readText=${typedLab}
                .preview=${previewOf}
                .lights=${lightOptions}
                @colours=${(event: CustomEvent<TakenColours<ColourSample>>) => this.#take(event.detail, part.name, viewing)}
              ></bole-colour-input>`
            : html`<button
                aria-label=${`Put in a reading of ${part.name}`}
                @click=${() => (this.asked = part.name)}
              >Put in a reading</button>`
      }
    </div>`;
  }

  #take(found: TakenColours<ColourSample>, part: string, viewing: Viewing): void {
    this.unread = "";
    try {
      this.#setReading(takenReading(found, part, viewing));
      this.asked = "";
    } catch (error) {
      this.unread = messageOf(error);
    }
  }

  #panel(part: RecordedPart, subLabel: string, viewing: JobRecord["batch"]["coverage"]["viewing"]) {
    const measured = part.measured;
    if (!measured) return panel({ label: part.name, subLabel }, part.asBuilt.XYZ, viewing);
    const shown = screenColour(measured.XYZ, viewing);
    return html`<bole-swatch
      .colour=${shown.css}
      .badge=${shown.badge}
      .target=${screenColour(part.asBuilt.XYZ, viewing).css}
      .targetLabel=${"predicted"}
      .sampleLabel=${"measured"}
      .label=${part.name}
      .subLabel=${subLabel}
    ></bole-swatch>`;
  }

  #amount({ layer, component, planned, weighed }: JobRecord["amounts"][number]) {
    const others = this.parameters.weighed.filter(
      (entry) => entry.layer !== layer || entry.component !== component.id,
    );
    return html`<div>
      <bole-number
        .label=${`${component.name}, ${layer}`}
        unit="g"
        .value=${weighed ?? planned}
        .min=${0}
        .max=${1_000_000}
        .step=${0.1}
        .digits=${2}
        .hint=${weighed === undefined ? "as planned" : `planned ${planned.toFixed(2)} g`}
        @change=${(event: CustomEvent<{ value: number }>) =>
          this.set({ weighed: [...others, { layer, component: component.id, grams: event.detail.value }] })}
      ></bole-number>
      ${weighed === undefined ? nothing : html`<button @click=${() => this.set({ weighed: others })}>As planned</button>`}
    </div>`;
  }

  #coats({ layer, planned, laid }: JobRecord["coats"][number]) {
    return html`<bole-number
      .label=${`Coats of ${layer.name}${layer.further ? " on every part" : ""}`}
      .value=${laid}
      .min=${0}
      .max=${30}
      .step=${1}
      .digits=${0}
      .hint=${laid === planned ? "as planned" : `planned ${planned}`}
      @change=${(event: CustomEvent<{ value: number }>) => this.#setCoats(layer.kind, planned, event.detail.value)}
    ></bole-number>`;
  }

  #setCoats(layer: LayerKind, planned: number, laid: number): void {
    const others = this.parameters.coats.filter((entry) => entry.layer !== layer);
    this.set({ coats: laid === planned ? others : [...others, { layer, coats: laid }] });
  }

  #setReading(reading: MeasuredPart): void {
    const { measured } = this.parameters;
    const known = measured.some((entry) => entry.part === reading.part);
    this.set({
      measured: known
        ? measured.map((entry) => (entry.part === reading.part ? reading : entry))
        : [...measured, reading],
    });
  }

  #dropReading(part: string): void {
    this.set({ measured: this.parameters.measured.filter((entry) => entry.part !== part) });
  }

  #history(value: JobRecord) {
    const { entries } = value;
    if (entries.length === 0) return nothing;
    const typical = typicalMiss(entries);
    return html`
      <h3>The model against reality</h3>
      <p>
        ${plural(entries.length, "reading")}; half of them lie within ΔE00
        ${differenceText(typical)} of the prediction.
      </p>
      <bole-chart
        label="Prediction to reading, job after job"
        summary="Dots: each reading. Dashed line: the median so far. Fine dots: the difference that passes."
        .draw=${this.#draw(value)}
        .readOut=${(x: number) => this.#pointed(value, x)}
        .height=${260}
      ></bole-chart>
      <div class="scroll" role="region" tabindex="0" aria-label="Readings of all jobs">
        <table>
          <caption class="unseen">Readings of all jobs</caption>
          <thead>
            <tr>
              <th scope="col">Job</th>
              <th scope="col">Date</th>
              <th scope="col">Part</th>
              <th scope="col" class="number">Planned</th>
              <th scope="col" class="number">As built</th>
              <th scope="col" class="number">Measured</th>
              <th scope="col" class="number">Model off by ΔE00</th>
            </tr>
          </thead>
          <tbody>
            ${entries.slice(-40).map(
              (entry) => html`<tr>
                <th scope="row">${entry.job}</th>
                <td>${entry.date}</td>
                <td>${entry.part}</td>
                ${[entry.planned, entry.asBuilt, entry.measured, entry.modelMiss].map(
                  (figure) => html`<td class="number">${differenceText(figure ?? undefined)}</td>`,
                )}
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
    `;
  }

  #pointed({ entries }: JobRecord, x: number): string {
    const entry = entries[Math.min(entries.length, Math.max(1, Math.round(x))) - 1];
    return `${entry.job}, ${entry.part}\nΔE00 ${differenceText(entry.modelMiss)}`;
  }

  #draw(value: JobRecord): ChartDraw {
    if (this.#drawn?.value === value) return this.#drawn.chart;
    const points = value.entries.map(({ modelMiss }, i) => ({
      miss: modelMiss,
      typical: typicalMiss(value.entries.slice(0, i + 1))!,
    }));
    const { tolerance } = value.batch.coverage.viewing;
    const chart: ChartDraw = (Plot, size) => recordChart(Plot, { points, tolerance }, size);
    this.#drawn = { value, chart };
    return chart;
  }

  #bringIn({ name, text }: { name: string; text: string }): void {
    this.trouble = "";
    this.told = "";
    try {
      const found = historyIn(text);
      const before = this.parameters.history.length;
      const history = withEntries(this.parameters.history, found).slice(-2000);
      this.set({ history });
      this.told = `${name}: ${found.length} readings found, ${history.length - before} of them new.`;
    } catch (error) {
      this.trouble = `${name}: ${(error as Error).message}`;
    }
  }

  static override styles = [
    ...viewStyles,
    css`
      h3 {
        margin-block: 18px 6px;
      }
      .parts {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 290px), 1fr));
        gap: 18px 24px;
        align-items: start;
        --bole-swatch-height: 84px;
      }
      .part,
      .reading {
        display: grid;
        gap: 10px;
        justify-items: start;
      }
      .part > :first-child {
        justify-self: stretch;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 0.6rem;
        margin-block: 12px;
      }
    `,
  ];
}
