import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { colourReader, typedLab } from "../../src/exchange/lazyReaders.ts";
import type { SeenTarget } from "../../src/ports/target.ts";
import "../../src/controls/colourInput.ts";
import type { TakenColours } from "../../src/controls/colourInput.ts";
import { differenceText, LabText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ColourSample } from "../../src/exchange/colourSample.ts";
import { sourceWords } from "../../src/exchange/oneColour.ts";
import { keptSample, previewOf } from "../../src/exchange/preview.ts";
import { readingStatistics } from "../../src/exchange/readings.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Reading } from "../../src/ports/reading.ts";
import { lightOptions } from "../../src/tables/illuminants.ts";
import { type Fading, fading } from "./define.ts";

const tag = "bole-view-fading";
export default tag;

type Spots = "hidden" | "exposed";

@customElement(tag)
export class FadingView extends CellView<Fading, ParameterValues<typeof fading.parameters>> {
  /** What was read last, and as what its numbers were taken. */
  @state() private readAs: Partial<Record<Spots, string>> = {};

  protected override render() {
    const { value } = this;
    return html`
      ${value ? this.#shown(value) : nothing}
      <details ?open=${value?.report.reference === "may have faded"}>
        <summary>Has the reference faded itself?${value?.report.reference === "not checked" ? " Not checked yet" : nothing}</summary>
        <p>
          Read the reference where it was covered (under a flap, inside a seam, below a button) and where it saw the light, with
          the settings that the reference itself was read with. Two or three readings of each are better than one.
        </p>
        <div class="spots">${this.#spots("hidden", value?.hidden)} ${this.#spots("exposed", value?.exposed)}</div>
      </details>
    `;
  }

  #shown(value: Fading) {
    const { report, reference, faded, viewing } = value;
    return html`
      ${this.verdictLine(false)}
      <div class="panels">
        ${panel(
          {
            label: "Then and now",
            subLabel: `ΔE00 ${differenceText(report.deltaE2000)}`,
            targetLabel: "reference",
            sampleLabel: "faded",
          },
          faded.XYZ,
          viewing,
          reference.XYZ,
        )}
      </div>
      <dl class="figures">
        <div><dt>Grey-scale grade (ISO 105-A05)</dt><dd>${report.grade}</dd></div>
        <div><dt>Rating, 5 is none</dt><dd>${report.rating.toFixed(2)}</dd></div>
        <div><dt>ΔE00</dt><dd>${differenceText(report.deltaE2000)}</dd></div>
        <div><dt>ΔE*ab</dt><dd>${differenceText(report.deltaEab)}</dd></div>
        <div><dt>Reference</dt><dd class="lab">${LabText(reference.Lab)}</dd></div>
        <div><dt>Faded part</dt><dd class="lab">${LabText(faded.Lab)}</dd></div>
      </dl>
    `;
  }

  #spots(which: Spots, seen: readonly SeenTarget[] | undefined) {
    const readings = this.parameters[which];
    const { label } = fading.parameters[which];
    return html`<div>
      <h3>${label}</h3>
      ${
        readings.length === 0
          ? html`<p class="soft">No reading yet.</p>`
          : html`<ul>
              ${readings.map(
                (reading, i) => html`<li>
                  <span>${reading.label}${seen?.[i] ? html`<br /><span class="soft">${LabText(seen[i].Lab)}</span>` : nothing}</span>
                  <button
                    aria-label=${`Take out ${reading.label}`}
                    @click=${() => this.set({ [which]: readings.filter((_, at) => at !== i) })}
                  >Take out</button>
                </li>`,
              )}
            </ul>`
      }
      ${seen && seen.length > 1 ? html`<p>${spreadOf(seen)}</p>` : nothing}
      ${this.readAs[which] ? html`<p class="soft">Last read: ${this.readAs[which]}.</p>` : nothing}
      <bole-colour-input
        label=${`Add a reading: ${label.toLowerCase()}`}
        stays="The readings stay as they were."
        .reader=${colourReader}
        .readText=${typedLab}
        .preview=${previewOf}
        .lights=${lightOptions}
        @colours=${(event: CustomEvent<TakenColours<ColourSample>>) => this.#add(which, event.detail)}
      ></bole-colour-input>
    </div>`;
  }

  #add(which: Spots, { samples, conditions, from, assumptions, habit }: TakenColours<ColourSample>): void {
    const source = sourceWords(from, assumptions);
    this.readAs = { ...this.readAs, [which]: habit ? `${source}; read with ${habit.name}` : source };
    const added = samples.map((sample) => keptSample(sample, conditions as object) as Reading);
    this.set({ [which]: [...this.parameters[which], ...added].slice(0, 60) });
  }

  static override styles = [
    ...viewStyles,
    css`
      .spots {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(100%, 320px), 1fr));
        gap: 20px;
      }
      h3 {
        margin: 0;
      }
      ul {
        list-style: none;
        padding: 0;
        margin: 8px 0;
      }
      li {
        display: flex;
        justify-content: space-between;
        align-items: center;
        gap: 12px;
        padding: 4px 0;
        border-bottom: 1px solid var(--bole-hairline);
      }
      li button {
        font-weight: 400;
      }
      .figures .lab {
        font-size: 1.05rem;
      }
    `,
  ];
}

function spreadOf(seen: readonly SeenTarget[]): string {
  const { meanDifference } = readingStatistics(
    seen.map(({ Lab }) => Lab),
    seen.map(({ label }) => label),
    deltaE2000,
  );
  return `Mean difference from their mean (MCDM): ΔE00 ${differenceText(meanDifference)}.`;
}
