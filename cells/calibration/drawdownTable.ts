import { html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { differenceText } from "../../src/controls/numbers.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { CalibrationResult } from "../../src/solve/calibration/result.ts";
import type { KeptDrawdowns, KeptFilm } from "./defineDrawdowns.ts";

const ways = [
  { value: "dry", label: "µm dry, measured" },
  { value: "wet", label: "µm wet" },
  { value: "gap", label: "µm gap of the applicator" },
  { value: "amount", label: "laid amount, any unit" },
  { value: "unknown", label: "not known" },
  { value: "opaque", label: "hides the card" },
];

/** The drawdowns of a calibration, to be looked over and mended. Event: `bole-drawdowns` (KeptDrawdowns). */
@customElement("bole-drawdown-table")
export class DrawdownTable extends LitElement {
  @property({ attribute: false }) drawdowns!: KeptDrawdowns;
  @property({ attribute: false }) result: CalibrationResult | undefined;

  protected override render() {
    const { films, components, bare, file } = this.drawdowns;
    return html`<details>
      <summary>${films.length} drawdowns of ${file}, ${bare.length} bare grounds</summary>
      <div class="scroll" tabindex="0" role="region" aria-label="Drawdowns">
        <table>
          <thead>
            <tr>
              <th scope="col">Use</th>
              <th scope="col">Drawdown</th>
              <th scope="col">Mixed (${films[0]?.basis ?? "volume"})</th>
              <th scope="col">Over</th>
              <th scope="col">Thickness</th>
              <th scope="col" class="number">Left over</th>
              <th scope="col" class="number">Predicted, ΔE00</th>
            </tr>
          </thead>
          <tbody>
            ${films.map((film, index) => this.#row(film, index, components))}
          </tbody>
        </table>
      </div>
    </details>`;
  }

  #row(film: KeptFilm, index: number, components: readonly string[]) {
    const report = this.result?.drawdowns.find((drawdown) => drawdown.label === film.label);
    const { thickness } = film;
    const way = thickness.kind === "stated" ? thickness.basis : thickness.kind;
    return html`<tr>
      <td>
        <bole-toggle label=${`Use ${film.label}`} on-text="used" off-text="left out" .value=${film.use} @change=${(event: CustomEvent<{ value: boolean }>) => this.#change(index, { use: event.detail.value })}></bole-toggle>
      </td>
      <th scope="row">${film.label}${report && !report.used && film.use ? html`<br /><span class="soft">set aside</span>` : nothing}</th>
      <td>
        ${film.amounts.length === 0 ? "the paste alone" : film.amounts.map((amount, at) => `${amount} ${at === 0 ? "paste" : components[at - 1]}`).join(" + ")}
      </td>
      <td>${[...new Set(film.readings.map(({ ground }) => ground))].join(", ")}</td>
      <td>
        <bole-choice label=${`Thickness of ${film.label}`} .options=${ways} .value=${way} @change=${(event: CustomEvent<{ value: string }>) => this.#setWay(index, film, event.detail.value)}></bole-choice>
        ${
          thickness.kind === "stated"
            ? html`<bole-number
                label=${`Value for ${film.label}`}
                .value=${thickness.value} .min=${0.01} .max=${10_000} .step=${1} .digits=${1}
                @change=${(event: CustomEvent<{ value: number }>) => this.#change(index, { thickness: { ...thickness, value: event.detail.value } })}
              ></bole-number>`
            : report && Number.isFinite(report.thickness)
              ? html`<span class="soft">found: ${report.thickness.toFixed(1)} µm</span>`
              : nothing
        }
      </td>
      <td class="number">${report ? `${(100 * report.rms).toFixed(2)} %` : "–"}</td>
      <td class="number">${differenceText(report?.leaveOneOut)}</td>
    </tr>`;
  }

  #setWay(index: number, film: KeptFilm, way: string): void {
    if (way === "unknown" || way === "opaque") {
      this.#change(index, { thickness: { kind: way } });
      return;
    }
    const value = film.thickness.kind === "stated" ? film.thickness.value : 20;
    this.#change(index, { thickness: { kind: "stated", basis: way as "dry", value } });
  }

  #change(index: number, patch: Partial<KeptFilm>): void {
    const films = this.drawdowns.films.map((film, at) => (at === index ? { ...film, ...patch } : film));
    this.dispatchEvent(new CustomEvent("bole-drawdowns", { detail: { ...this.drawdowns, films } }));
  }

  static override styles = viewStyles;
}
