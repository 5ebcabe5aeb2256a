import "../../src/controls/boleChart.ts";
import { css, html, nothing, type TemplateResult } from "lit";
import { customElement, state } from "lit/decorators.js";
import { rowsHeight } from "../../src/charts/rowBars.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { moneyText, type ReasonId } from "../../src/job/price.ts";
import { durationsText, shownUnit, toShown } from "../../src/units/units.ts";
import "../../src/controls/bolePaper.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { numberField } from "../../src/controls/numberField.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { coatsSaid, layerOf } from "../../src/job/batch.ts";
import type { Comparison, CustomerQuote, Quote } from "../../src/job/quote.ts";
import type { PrintedPage } from "../../src/paper/paper.ts";
import { customerDocument, customerPage } from "../../src/paper/quotePage.ts";
import { type QuoteInputs, quote } from "./define.ts";
import { reasonsChart } from "./view/reasonsChart.ts";

const tag = "bole-view-quote";
export default tag;

type Name = keyof typeof quote.parameters;

/** Rates for a litre, which may be typed for a gallon. */
const perVolume: readonly Name[] = [
  "cleanerPerLitre",
  "adhesionPerLitre",
  "clearPerLitre",
  "thinnerPerLitre",
  "wastePerLitre",
];

@customElement(tag)
export class QuoteView extends CellView<
  CustomerQuote,
  ParameterValues<typeof quote.parameters>,
  QuoteInputs
> {
  @state() private pageOpen = false;
  #drawn: { value: CustomerQuote; reasons: ChartDraw } | undefined;
  #page: { value: CustomerQuote; title: string; page: PrintedPage } | undefined;

  protected override render() {
    const { value } = this;
    return html`
      ${value ? this.#result(value) : nothing}
      <div class="fields">${this.#fields("labourPerHour", "markup", "tax", "currency", "customer")}</div>
      <details>
        <summary>Products, sundries, waste</summary>
        <div class="fields">
          ${this.#fields(...perVolume, "sundriesPerLayer")}
          <p class="wide soft">Pastes, binder and base paints bring their own cost from the shelf.</p>
        </div>
      </details>
      <div class="fields">${this.#fields("trialsPerMix", "comparing")}</div>
      <details>
        <summary>The colour beside it</summary>
        <div class="fields">${this.#fields("comparedName")}</div>
      </details>
      ${value ? this.#customerPage(value) : nothing}
    `;
  }

  #fields(...names: Name[]) {
    const { currency } = this.parameters;
    const system = this.linked.day?.batch.settings.units ?? "metric";
    return names.map((name) => {
      const spec = quote.parameters[name];
      if (spec.type !== "number" || spec.unit === "%" || spec.unit === "min" || name === "trialsPerMix")
        return parameterField(this, quote.parameters, name);
      const volume = (perVolume as readonly string[]).includes(name);
      const { unit } = volume ? shownUnit("moneyPerVolume", system) : { unit: spec.unit ?? "" };
      const other = {
        unit: `${currency} ${unit}`.trim(),
        factor: volume ? toShown(1, "moneyPerVolume", system) : 1,
        digits: 2,
      };
      return numberField(spec, name, this.parameters[name] as number, other, (value) =>
        this.change({ [name]: value }, false),
      );
    });
  }

  #result(value: CustomerQuote) {
    const { rates, comparison, batch } = value;
    const money = (amount: number) => moneyText(amount, rates.currency);
    return html`
      ${this.verdictLine(false)}
      ${
        value.withoutCost.length > 0
          ? html`<p><strong>Not in this price:</strong> ${value.withoutCost.join(", ")}. No cost is known; give it on the shelf${value.calibrated.length > 0 ? ` (${value.calibrated.join(", ")}: calibrated, see there that density and cost are your own)` : ""}.</p>`
          : nothing
      }
      ${
        value.inventedCost.length > 0
          ? html`<p><strong>Invented prices:</strong> ${value.inventedCost.join(", ")}. Give your own on the shelf.</p>`
          : nothing
      }
      <div class="scroll" role="region" tabindex="0" aria-label="The price line by line">${this.#lines(value, money)}</div>
      ${
        comparison
          ? html`<bole-chart
                label="Why this colour costs more"
                .summary=${this.#reasonSummary(comparison, value, money)}
                .draw=${this.#draw(value, comparison)}
                .height=${rowsHeight(comparison.reasons.length + 2, 8)}
              ></bole-chart>
              <dl class="figures">
                <div><dt>Coats of colour</dt><dd>${coatsSaid(batch, "colour")} against ${comparison.coats}</dd></div>
                <div><dt>Mixed volume</dt><dd>× ${comparison.volumeRatio.toFixed(2)}</dd></div>
                <div><dt>Hours</dt><dd>× ${comparison.timeRatio.toFixed(2)}</dd></div>
                <div><dt>Price</dt><dd>× ${comparison.priceRatio.toFixed(2)}</dd></div>
              </dl>`
          : nothing
      }
    `;
  }

  #lines({ job, comparison, withoutCost }: Quote, money: (amount: number) => string) {
    const other = (id: string) => comparison?.job.price.lines.find((line) => line.id === id);
    const times = durationsText(job.price.lines.map(({ minutes }) => minutes));
    const cells = (materials: number, time: string, price: number, theirs: number | undefined) => html`
      <td class="number">${money(materials)}</td>
      <td class="number">${time}</td>
      <td class="number">${money(price)}</td>
      ${comparison ? html`<td class="number soft">${theirs === undefined ? "–" : money(theirs)}</td>` : nothing}
    `;
    const { price } = job;
    const theirs = comparison?.job.price;
    const sum = (
      label: string,
      own: number,
      compared: number | undefined,
      strong = false,
    ): TemplateResult => html`<tr
      class=${strong ? "sum" : ""}
    >
      <th scope="row" colspan="3">${label}</th>
      <td class="number">${money(own)}</td>
      ${comparison ? html`<td class="number soft">${compared === undefined ? "–" : money(compared)}</td>` : nothing}
    </tr>`;
    return html`<table>
      <caption class="unseen">The price line by line</caption>
      <thead>
        <tr>
          <th scope="col">For</th>
          <th scope="col" class="number">Materials</th>
          <th scope="col" class="number">Work</th>
          <th scope="col" class="number">Price</th>
          ${comparison ? html`<th scope="col" class="number">in ${comparison.name}</th>` : nothing}
        </tr>
      </thead>
      <tbody>
        ${price.lines.map(
          (line, i) => html`<tr>
            <th scope="row">${line.label}</th>
            ${cells(line.materials, line.minutes > 0 ? times[i] : "–", line.price, other(line.id)?.price)}
          </tr>`,
        )}
        ${sum("Together, with mark-up on materials", price.net, theirs?.net, true)}
        ${sum("Tax", price.tax, theirs?.tax)} ${sum("Price with tax", price.total, theirs?.total, true)}
        ${
          withoutCost.length > 0
            ? html`<tr><th scope="row" colspan=${comparison ? 5 : 4}>Not in the price: ${withoutCost.join(", ")}, of no known cost</th></tr>`
            : nothing
        }
      </tbody>
    </table>`;
  }

  #labels({ batch, job }: Quote, { coats, job: other }: Comparison): Record<ReasonId, string> {
    const own = coatsSaid(batch, "colour");
    const base = layerOf(batch, "basecoat")?.coats.length ?? 0;
    return {
      basecoat: base > 0 ? `a ground of ${base} coats` : "ground",
      coats: `${own} coats of colour, not ${coats}`,
      pigment: "dearer pigments",
      development:
        job.trials === other.trials
          ? "finding it: longer rounds"
          : `finding it: ${job.trials} rounds, not ${other.trials}`,
      rest: "sundries and waste",
    };
  }

  #reasonSummary(comparison: Comparison, value: Quote, money: (amount: number) => string): string {
    const labels = this.#labels(value, comparison);
    return comparison.reasons.map(({ id, price }) => `${labels[id]}: ${money(price)}`).join("; ");
  }

  #draw(value: CustomerQuote, comparison: Comparison): ChartDraw {
    if (this.#drawn?.value === value) return this.#drawn.reasons;
    const money = (amount: number) => moneyText(amount, value.rates.currency);
    const labels = this.#labels(value, comparison);
    const data = {
      start: {
        label: `in ${comparison.name}`,
        amount: comparison.job.price.net,
        text: money(comparison.job.price.net),
      },
      steps: comparison.reasons.map(({ id, price }) => ({
        label: labels[id],
        amount: price,
        text: `${price >= 0 ? "+ " : ""}${money(price)}`,
      })),
      end: { label: "this colour", amount: value.job.price.net, text: money(value.job.price.net) },
    };
    const reasons: ChartDraw = (Plot, size) => reasonsChart(Plot, data, size);
    this.#drawn = { value, reasons };
    return reasons;
  }

  #customerPage(value: CustomerQuote) {
    const words = { title: this.cell.title };
    const page = () => {
      if (this.#page?.value !== value || this.#page.title !== words.title)
        this.#page = { value, title: words.title, page: customerPage(value, words) };
      return this.#page.page;
    };
    return html`<details
      ?open=${this.pageOpen}
      @toggle=${(event: Event) => (this.pageOpen = (event.target as HTMLDetailsElement).open)}
    >
      <summary>Page for the customer</summary>
      ${
        this.pageOpen
          ? html`<bole-paper
              label="the customer's page"
              .page=${page()}
              .makeFile=${() => customerDocument(value, words)}
              file-name="quote.html"
            ></bole-paper>`
          : nothing
      }
    </details>`;
  }

  static override styles = [
    ...viewStyles,
    css`
      th[scope="row"] {
        font-weight: 400;
      }
      .sum th[scope="row"],
      .sum td:not(.soft) {
        font-weight: 700;
      }
      table {
        min-inline-size: 560px;
      }
    `,
  ];
}
