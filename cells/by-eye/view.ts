import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { cloudChart } from "../../src/charts/cloudChart.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { shownUnit, smallVolume } from "../../src/units/units.ts";
import "../../src/controls/boleFile.ts";
import { LabToXYZ } from "../../src/colour/Lab.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { screenColour, panel as swatch } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import "../../src/controls/saveButtons.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { wordKeyStyles, wordKeys } from "../../src/controls/wordKeys.ts";
import { messageOf } from "../../src/graph/messageOf.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Pour } from "../../src/judgement/nextPour.ts";
import { type Step, sizeWords, stepText } from "../../src/judgement/stepWords.ts";
import { coatsOn } from "../../src/ports/coatPlan.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { type EyePair, type EyePanel, nothingSaid, type SaidStep } from "../../src/ports/eyePanels.ts";
import { readPanels, writePanels } from "../../src/ports/eyePanelTable.ts";
import { type ByEye, byEye } from "./define.ts";
import { type ModelledPanel, modelled, pouredOf, shelfOf } from "./model/panels.ts";
import type { EyeReport } from "./model/report.ts";
import "./view/measuredPair.ts";

const tag = "bole-view-by-eye";
export default tag;

/** A test mix for a panel, and the first panel from the recipe, are kept as parts of so many mL. */
const wholeMix = 100;

@customElement(tag)
export class ByEyeView extends CellView<
  ByEye,
  ParameterValues<typeof byEye.parameters>,
  { coverage: Coverage }
> {
  /** The panel whose words are shown; the last when undefined. */
  @state() private shown: number | undefined;
  @state() private trouble = "";
  #drawn: { report: EyeReport; draw: ChartDraw } | undefined;

  protected override render() {
    const coverage = this.linked.coverage;
    if (!coverage) return nothing;
    const report = this.outcome.status === "ok" ? this.value?.eye : undefined;
    const { panels } = this.parameters;
    const at = Math.min(this.shown ?? panels.length - 1, panels.length - 1);
    return html`
      ${report ? this.verdictLine() : nothing}
      ${at < 0 ? this.#first(coverage) : this.#judging(coverage, at)}
      ${report && at === panels.length - 1 && saidAll(panels[at]) ? this.#next(report) : nothing}
      ${report ? this.#cloud(report) : nothing}
      ${this.#list(panels, at)}
      ${report ? this.#eye(report) : nothing}
      ${at >= 0 && saidAll(panels[at]) ? this.#measured(coverage, at) : nothing}
      ${this.#settings()}
      ${this.#files(coverage)}
    `;
  }

  #first(coverage: Coverage) {
    return html`
      <p>
        Coat a test panel with the mix of <em>${this.#mixName(coverage)}</em>, let it dry, hold it beside the reference in the light
        ${coverage.viewing.weights.illuminant}. Both should have one gloss.
      </p>
      <button class="large" @click=${() => this.#pour(coverage, coverage.recipe.volumes)}>The first panel is dry: judge it</button>
    `;
  }

  #mixName = ({ recipe }: Coverage) =>
    recipe.components
      .filter(({ role }) => role === "paste")
      .map(({ name }) => name)
      .join(", ") || "the recipe";

  #judging(coverage: Coverage, at: number) {
    const kept = this.parameters.panels[at];
    const model = this.#modelled(coverage, kept);
    if (!model) return nothing;
    const viewing = coverage.viewing;
    const seen = (Lab: Float64Array) => LabToXYZ(Lab, viewing.weights.white, new Float64Array(3));
    const cloud = this.outcome.status === "ok" ? this.value?.eye.cloud : undefined;
    return html`
      <h3>Panel ${at + 1} is, beside the reference …</h3>
      ${wordKeys<SaidStep>({
        of: `panel ${at + 1} beside the reference`,
        axes: model.words,
        sizes: sizeWords,
        pressed: kept.steps,
        press: (axis, step) => this.#say(at, axis, step),
      })}
      <div class="panels">
        ${swatch(
          {
            label: `Panel ${at + 1}, by the film model`,
            subLabel: cloud ? "beside the reference as told so far" : "",
            sampleLabel: "panel",
            targetLabel: "reference",
          },
          seen(model.Lab),
          viewing,
          cloud && seen(cloud.Lab.mean),
        )}
      </div>
    `;
  }

  #modelled(coverage: Coverage, kept: EyePanel): ModelledPanel | undefined {
    try {
      return modelled(coverage, shelfOf(coverage), kept);
    } catch {
      return undefined; // the frame tells what is wrong with it
    }
  }

  #say(at: number, axis: number, step: SaidStep): void {
    const steps: EyePanel["steps"] = [...this.parameters.panels[at].steps];
    steps[axis] = step;
    this.#change(at, { steps });
  }

  #change(at: number, patch: Partial<EyePanel>): void {
    const { panels } = this.parameters;
    this.set({ panels: panels.map((panel, k) => (k === at ? { ...panel, ...patch } : panel)) });
  }

  #next(report: EyeReport) {
    const { next, ending, cloud, components, grade } = report;
    if (grade || cloud.random) return nothing;
    if (!next) {
      return html`<p class="verdict">Nothing that may be poured brings the panel nearer. Allow other pastes, or a fresh test mix.</p>`;
    }
    const { best } = next;
    return html`
      <h3>${ending ? "If it should come nearer still" : "Pour next"}</h3>
      <p class="verdict">
        ${best.kind === "addition" ? this.inUnits(`Add to the ${this.parameters.potVolume.toFixed(0)} mL in the pot:`) : this.inUnits(`A fresh test mix of ${this.parameters.mixVolume.toFixed(0)} mL:`)}
        chance that the eye cannot tell it: <strong>${percentText(best.matchChance)}</strong>
        (a twin of the reference: ${percentText(best.twinChance)}).
        ${best.why === "tells most" ? "Too little to bet on: this panel is chosen because it tells most." : nothing}
      </p>
      <table>
        <thead>
          <tr><th scope="col">${best.kind === "addition" ? "Add" : "Pour"}</th><th scope="col" class="number">${shownUnit("volume", this.units).unit}</th><th scope="col" class="number">g</th></tr>
        </thead>
        <tbody>
          ${this.#amounts(best).map(
            ({ index, volume }) => html`<tr>
              <th scope="row">${components[index].name}</th>
              <td class="number">${smallVolume(volume, this.units)}</td>
              <td class="number"><strong>${(volume * components[index].density).toFixed(2)}</strong></td>
            </tr>`,
          )}
        </tbody>
      </table>
      <button class="large" @click=${() => this.#poured(report)}>Poured, dry: judge this panel</button>
    `;
  }

  #amounts({ kind, volumes }: Pour): { index: number; volume: number }[] {
    const scale = kind === "addition" ? 1 : this.parameters.mixVolume / wholeMix;
    return [...volumes.keys()]
      .map((index) => ({ index, volume: volumes[index] * scale }))
      .filter(({ volume }) => volume >= 0.005)
      .sort((p, q) => q.volume - p.volume);
  }

  #poured({ next, judged, coverage }: EyeReport): void {
    const { best } = next!;
    if (best.kind === "test mix") {
      this.#pour(coverage, best.volumes);
      return;
    }
    const { potVolume } = this.parameters;
    const { volumes } = judged[judged.length - 1];
    const total = volumes.reduce((sum, volume) => sum + volume, 0);
    const pot = volumes.map((volume, j) => (volume * potVolume) / total + best.volumes[j]);
    this.#pour(coverage, pot, Math.round(10 * pot.reduce((sum, volume) => sum + volume, 0)) / 10);
  }

  /** A further panel of a mix, made as the last one was. */
  #pour(coverage: Coverage, volumes: Float64Array, potVolume?: number): void {
    const { panels } = this.parameters;
    const last = panels.at(-1);
    this.shown = undefined;
    this.set({
      panels: [
        ...panels,
        {
          poured: pouredOf(volumes, shelfOf(coverage)),
          part: last?.part ?? 1,
          coats: last?.coats ?? null,
          light: coverage.viewing.weights.illuminant as EyePanel["light"],
          steps: nothingSaid,
        },
      ],
      ...(potVolume === undefined ? {} : { potVolume }),
    });
  }

  #cloud(report: EyeReport) {
    const { rounds } = report;
    return html`<bole-chart
      label="Where the reference lies"
      .summary=${`The ellipse in a*b* and the bar in L* hold the reference in 90 %; thin lines are those after earlier panels. After panel ${rounds.length}: L* ${rounds.at(-1)!.region.darkest.toFixed(1)} to ${rounds.at(-1)!.region.lightest.toFixed(1)}, within ΔE00 ${differenceText(rounds.at(-1)!.within)}.`}
      .draw=${this.#draw(report)}
      .height=${420}
    ></bole-chart>`;
  }

  #draw(report: EyeReport): ChartDraw {
    if (this.#drawn?.report === report) return this.#drawn.draw;
    const { viewing } = report.coverage;
    const data = {
      rounds: report.rounds.map(({ panel, region: { Lab, outline, darkest, lightest } }) => ({
        label: `after panel ${panel + 1}`,
        L: Lab[0],
        a: Lab[1],
        b: Lab[2],
        outline,
        darkest,
        lightest,
      })),
      panels: report.judged.map(({ Lab }, k) => ({
        label: String(k + 1),
        L: Lab[0],
        a: Lab[1],
        b: Lab[2],
        colour: screenColour(LabToXYZ(Lab, viewing.weights.white, new Float64Array(3)), viewing).css,
      })),
    };
    const draw: ChartDraw = (Plot, size) => cloudChart(Plot, data, size);
    this.#drawn = { report, draw };
    return draw;
  }

  #list(panels: readonly EyePanel[], at: number) {
    if (panels.length === 0) return nothing;
    const coverage = this.linked.coverage!;
    const components = shelfOf(coverage);
    const name = (id: string) => components.find((component) => component.id === id)?.name ?? id;
    const kept = panels[at];
    const { colourCoats } = coverage;
    const planned = coatsOn(colourCoats, coverage.parts[kept.part - 1]?.substrate ?? {}).length;
    const parts = coverage.parts;
    const { unit, per } = shownUnit("volume", this.units);
    return html`<details>
      <summary>Panels judged (${panels.length})</summary>
      <ol>
        ${panels.map((panel, k) => {
          return html`<li>
            ${this.#wordsOf(coverage, panel) || "cannot be computed"}
            <button ?disabled=${k === at} @click=${() => this.#show(k)}>Judge panel ${k + 1} again</button>
            <button @click=${() => this.#remove(k)}>Remove panel ${k + 1}</button>
          </li>`;
        })}
      </ol>
      <h3>How panel ${at + 1} was made</h3>
      <div class="fields">
        <bole-choice
          label="It lies on"
          .options=${[{ value: "0", label: "nothing seen: it hides everything" }, ...parts.map((part, k) => ({ value: String(k + 1), label: part.substrate.name }))]}
          .value=${String(kept.part)}
          @change=${(event: CustomEvent<{ value: string }>) => this.#change(at, { part: Number(event.detail.value) })}
        ></bole-choice>
        <bole-number
          label="Coats" .value=${kept.coats ?? planned}
          .min=${1} .max=${planned} .step=${1} .digits=${0}
          @change=${(event: CustomEvent<{ value: number }>) => this.#change(at, { coats: event.detail.value })}
        ></bole-number>
        ${kept.poured.map(
          ({ component, volume }, k) => html`<bole-number
            .label=${name(component)} .unit=${unit} .value=${volume / per} .min=${0} .max=${100_000 / per} .step=${0.1} .digits=${per === 1 ? 2 : 3}
            @change=${(event: CustomEvent<{ value: number }>) => this.#change(at, { poured: kept.poured.map((entry, place) => (place === k ? { ...entry, volume: Math.min(100_000, event.detail.value * per) } : entry)) })}
          ></bole-number>`,
        )}
      </div>
    </details>`;
  }

  #wordsOf(coverage: Coverage, kept: EyePanel): string {
    const model = this.#modelled(coverage, kept);
    if (!model) return "";
    return kept.steps
      .map((step, axis) => {
        if (step === null) return "not said";
        return stepText(step === "cannot judge" ? null : (step as Step), model.words[axis]);
      })
      .join(", ");
  }

  #show(at: number): void {
    this.shown = at;
  }

  #remove(at: number): void {
    this.shown = undefined;
    this.set({ panels: this.parameters.panels.filter((_, k) => k !== at) });
  }

  #eye({ sharpness, gradedWords }: EyeReport) {
    const { coarseness, verdict, seenTooLarge } = sharpness;
    const times = ({ middle, low, high }: typeof coarseness) =>
      `${middle.toFixed(2)} (${low.toFixed(2)} to ${high.toFixed(2)})`;
    return html`<details>
      <summary>How sharp this eye is: ${verdict}</summary>
      <p>
        ${gradedWords > 0 ? `Known from ${gradedWords} words about panels that were measured too.` : "So far only from how the words agree with one another; panels that are measured too tell more."}
        Beside an ordinary eye the words scatter by a factor of ${times(coarseness)}. Differences are seen larger than they are by a factor of
        ${times(seenTooLarge[0])} in lightness, ${times(seenTooLarge[1])} in strength, ${times(seenTooLarge[2])} in hue.
      </p>
      <p>
        How large the words are can be looked at on a grey scale for change in colour (ISO 105-A02): its pairs of grades 4–5, 4, 3, 2
        and 1 differ by 0.8, 1.7, 3.4, 6.8 and 13.6 in lightness.
      </p>
    </details>`;
  }

  #measured({ viewing }: Coverage, at: number) {
    const { panels, pairs } = this.parameters;
    const { steps } = panels[at];
    return html`<details>
      <summary>Was panel ${at + 1} measured, and the reference too?</summary>
      <p>Then its words tell how sharp this eye is. Both readings go by the instrument that is named with them.</p>
      <bole-measured-pair
        .panel=${`panel ${at + 1}`}
        .viewing=${viewing}
        @pair=${(event: CustomEvent<Pick<EyePair, "panel" | "reference">>) => this.set({ pairs: [...pairs, { ...event.detail, steps }] })}
      ></bole-measured-pair>
    </details>`;
  }

  #settings() {
    const field = (name: keyof typeof byEye.parameters) => parameterField(this, byEye.parameters, name);
    return html`<details>
      <summary>Pot, test mixes and other lights</summary>
      <div class="fields">${field("pour")} ${field("potVolume")} ${field("mixVolume")} ${field("pastes")} ${field("curve")}</div>
    </details>`;
  }

  #files(coverage: Coverage) {
    const { panels, pairs } = this.parameters;
    const write = () => writePanels(panels, pairs, (kept) => this.#wordsOf(coverage, kept));
    return html`<details>
      <summary>Panels and words as a table</summary>
      ${
        panels.length + pairs.length > 0
          ? html`<bole-save-buttons
              label="panels and words"
              .name=${this.cell.title}
              .files=${[{ form: "CSV", ending: ".csv", type: "text/csv", write }]}
            ></bole-save-buttons>`
          : nothing
      }
      <bole-file label="Panels and words" accept=".csv" @file=${(event: CustomEvent<{ text: string }>) => this.#read(event.detail.text)}></bole-file>
      <div aria-live="polite">${this.trouble ? html`<p class="trouble">${this.trouble}</p>` : nothing}</div>
      ${pairs.length > 0 ? html`<p>${pairs.length} pairs were judged and measured. <button @click=${() => this.set({ pairs: [] })}>Forget them</button></p>` : nothing}
    </details>`;
  }

  #read(text: string): void {
    this.trouble = "";
    try {
      const { panels, pairs } = readPanels(text);
      this.shown = undefined;
      this.set({ ...(panels.length > 0 ? { panels } : {}), ...(pairs.length > 0 ? { pairs } : {}) });
    } catch (error) {
      this.trouble = `The table cannot be read: ${messageOf(error)}`;
    }
  }

  static override styles = [
    ...viewStyles,
    wordKeyStyles,
    css`
      .large {
        min-block-size: 64px;
        padding-inline: 24px;
        margin-block: 12px;
      }
      li button {
        margin: 4px;
      }
    `,
  ];
}

const saidAll = ({ steps }: EyePanel) => steps.every((step) => step !== null);
