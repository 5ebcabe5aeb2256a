import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { barsChart } from "../../src/charts/barsChart.ts";
import { ribbonChart } from "../../src/charts/ribbonChart.ts";
import { rowsHeight } from "../../src/charts/rowBars.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import type { ChartTable } from "../../src/controls/chartFile.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { type HowSure, howSure } from "./define.ts";
import type { Played } from "./model/kept.ts";
import { barTable, mostOf, nowWords, shareText } from "./view/words.ts";

const tag = "bole-view-how-sure";
export default tag;

@customElement(tag)
export class HowSureView extends CellView<
  HowSure,
  ParameterValues<typeof howSure.parameters>,
  { coverage: Coverage }
> {
  #drawn: { value: HowSure; opinion: unknown; ratio: number; draw: ChartDraw } | undefined;
  #bars: { played: Played; draw: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    if (!value) return nothing;
    const field = (name: keyof typeof howSure.parameters) => parameterField(this, howSure.parameters, name);
    return html`
      ${this.verdictLine()}
      ${this.#choice(value)}
      <div class="along">${field("along")}</div>
      ${this.#curve(value)}
      <h3>Which error matters most</h3>
      ${this.#played(value)}
      <h3>A spot that the basecoat has missed</h3>
      ${this.#bareSpots(value)}
      <h3>A second opinion</h3>
      ${this.#opinion(value)}
      <details>
        <summary>How uneven a hand, how exact the doses</summary>
        <div class="fields">
          ${(["colourBuild", "basecoatBuild", "ratioError", "doseStep", "batch", "bands", "assumedBand", "cases"] as const).map(field)}
        </div>
      </details>
    `;
  }

  /** The ratio as it is set at this moment, even while the curves are being computed anew. */
  #ratioNow({ coverage }: HowSure): number {
    return this.linked.coverage?.basecoat?.ratio ?? coverage.basecoat.ratio;
  }

  #choice(value: HowSure) {
    const { choice, coverage } = value;
    const { formula } = coverage.viewing;
    const row = (name: string, { ratio, difference, expected }: typeof choice.best) => html`<tr>
      <th scope="row">${name}</th>
      <td class="number">${percentText(ratio)}</td>
      <td class="number">${differenceText(difference)}</td>
      <td class="number">${differenceText(expected)}</td>
      <td><button @click=${() => this.#take(ratio)} aria-label=${`Take the ${name.toLowerCase()} ratio`}>Take</button></td>
    </tr>`;
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Best and safest ratio">
      <table>
        <caption class="unseen">Best and safest ratio</caption>
        <thead>
          <tr>
            <th scope="col">Ratio</th>
            <th scope="col" class="number">${coverage.basecoat.paints[1].name}</th>
            <th scope="col" class="number">${formula} as planned</th>
            <th scope="col" class="number">on average</th>
            <th scope="col"><span class="unseen">Take</span></th>
          </tr>
        </thead>
        <tbody>${row("Best", choice.best)} ${row("Safest", choice.safest)}</tbody>
      </table>
    </div>`;
  }

  #take(ratio: number, live = false): void {
    const id = (this.linked.coverage ?? this.value?.coverage)?.basecoat?.cell;
    if (!id) return;
    this.setElsewhere(id, { ratio: Math.min(1, Math.max(0, Math.round(ratio * 1000) / 1000)) }, live);
  }

  #curve(value: HowSure) {
    const { coverage, along } = value;
    const { formula } = coverage.viewing;
    const overRatio = along === "ratio";
    const now = overRatio ? this.#ratioNow(value) : value.current;
    const title = `${formula} of the worst part along the ${overRatio ? "basecoat ratio" : "colour coats"}, and how far it strays`;
    const words = (x: number) => this.#readOut(value, x);
    return html`<bole-chart
      label=${title}
      .summary=${
        overRatio
          ? "The band holds 9 of 10 cases under an uneven hand. Press or drag to set the ratio."
          : "The band holds 9 of 10 cases under an uneven hand."
      }
      .draw=${this.#draw(value, now)}
      .height=${430}
      .readOut=${words}
      .onPick=${overRatio ? (x: number, live: boolean) => this.#take(x, live) : undefined}
      .picked=${overRatio ? now : undefined}
      .pickStep=${0.01}
      .table=${() => this.#table(value)}
    ></bole-chart>`;
  }

  #readOut({ along, values, nominal, expected, ribbon }: HowSure, x: number): string {
    const k = nearest(values, x);
    const place = along === "ratio" ? percentText(values[k]) : `${values[k]} coats`;
    return (
      `${place}: ${differenceText(nominal[k])} as planned, ${differenceText(expected[k])} on average\n` +
      `9 of 10 cases: ${differenceText(ribbon.low[k])} to ${differenceText(ribbon.high[k])}`
    );
  }

  #table({ along, values, nominal, expected, ribbon, coverage }: HowSure): ChartTable {
    const { formula } = coverage.viewing;
    return {
      columns: [
        along === "ratio" ? `share of ${coverage.basecoat.paints[1].name}` : "colour coats",
        `${formula} as planned`,
        `${formula} on average`,
        `${formula} 5 %`,
        `${formula} median`,
        `${formula} 95 %`,
      ],
      rows: Array.from(values, (value, k) => [
        value,
        nominal[k],
        expected[k],
        ribbon.low[k],
        ribbon.median[k],
        ribbon.high[k],
      ]),
    };
  }

  #draw(value: HowSure, now: number): ChartDraw {
    const { opinion } = this.parameters;
    if (this.#drawn?.value === value && this.#drawn.opinion === opinion && this.#drawn.ratio === now)
      return this.#drawn.draw;
    const { along, values, nominal, expected, ribbon, choice, coverage, opinionIsStale } = value;
    const { viewing, basecoat } = coverage;
    const overRatio = along === "ratio";
    const doubt = overRatio && opinion && !opinionIsStale ? opinion : undefined;
    const data = {
      curves: [
        { label: "as planned", x: values, y: nominal },
        { label: "on average", x: values, y: expected },
        ...(doubt ? [{ label: "exact transfer", x: doubt.ratios, y: doubt.exact }] : []),
      ],
      areas: [
        { label: "9 of 10 cases", x: values, low: ribbon.low, high: ribbon.high },
        ...(doubt
          ? [
              {
                label: "between the theories",
                x: doubt.ratios,
                low: doubt.twoFlux.map((y, k) => Math.min(y, doubt.exact[k])),
                high: doubt.twoFlux.map((y, k) => Math.max(y, doubt.exact[k])),
                hatched: true,
              },
            ]
          : []),
      ],
      markers: overRatio
        ? [
            { label: `best ${percentText(choice.best.ratio)}`, x: choice.best.ratio },
            { label: `safest ${percentText(choice.safest.ratio)}`, x: choice.safest.ratio },
            { label: `now ${percentText(now)}`, x: now, now: true },
          ]
        : [{ label: `now ${now}`, x: now, now: true }],
      tolerance: viewing.tolerance,
      domain: [values[0], values[values.length - 1]] as const,
      xKind: overRatio ? ("share" as const) : ("count" as const),
      xLabel: overRatio ? `share of ${basecoat.paints[1].name}, %` : "colour coats",
      yLabel: `${viewing.formula} to the target, worst part`,
    };
    const draw: ChartDraw = (Plot, size) => ribbonChart(Plot, data, size);
    this.#drawn = { value, opinion, ratio: now, draw };
    return draw;
  }

  #played(value: HowSure) {
    const { played, cases } = this.parameters;
    const { formula } = value.coverage.viewing;
    return html`
      <p>
        <button class="act" ?disabled=${this.acting !== undefined} @click=${() => this.act("play")}>
          Play out ${cases.toLocaleString("en-GB")} jobs
        </button>
      </p>
      ${
        played
          ? html`<div class=${value.playedIsStale ? "kept room stale" : "kept room"}>
              ${
                value.playedIsStale
                  ? html`<p class="stale-note"><strong>From an earlier question.</strong> Something has changed since: play the jobs out again.</p>`
                  : nothing
              }
              <p>
                Of ${played.cases.toLocaleString("en-GB")} jobs like this at ${percentText(played.ratio)}, ${shareText(played.pass)} stay
                within ${played.tolerance}. Half of them come within ${formula} ${differenceText(played.worst.median)}; one in twenty
                misses by more than ${differenceText(played.worst.high)}. ${mostOf(played)}
              </p>
              <bole-chart
                label="Share of each source of error"
                summary="First-order Sobol indices: how much of the variance would go if this alone were exact. Hatched: with what it does together with others. The whisker is the standard error of the sampling."
                .draw=${this.#bar(played)}
                .height=${rowsHeight(played.shares.length)}
                .table=${() => barTable(played)}
              ></bole-chart>
              ${played.notes.map((note) => html`<p class="soft">${note}.</p>`)}
            </div>`
          : html`<div class="room empty">
              <p class="soft">
                Every job errs a little in film build, in the blend, in the doses, and K and S are only known so well. Played out
                many times, they tell which of these to practise first. So far it is taken that:
              </p>
              <ul>
                ${this.#assumed().map((text) => html`<li>${text}</li>`)}
              </ul>
              <p class="soft">Each of these can be set further below.</p>
            </div>`
      }
    `;
  }

  /** What every played job errs by, in the words of the settings. */
  #assumed(): string[] {
    const { parameters: p } = this;
    const of = (name: "colourBuild" | "basecoatBuild" | "ratioError" | "assumedBand") =>
      `${howSure.parameters[name].label}${p[name]} %`; // the labels end in "±"
    return [
      of("colourBuild"),
      of("basecoatBuild"),
      of("ratioError"),
      this.inUnits(`Doses go by steps of ${p.doseStep} mL, ${p.batch} mL mixed at once`),
      p.bands ? "K and S vary within their own bands" : "K and S do not vary within their bands",
      of("assumedBand"),
    ];
  }

  #bar(played: Played): ChartDraw {
    if (this.#bars?.played === played) return this.#bars.draw;
    const bars = played.shares.map(({ source, share, standardError, total }) => ({
      label: source,
      share,
      doubt: standardError,
      total,
    }));
    const draw: ChartDraw = (Plot, size) => barsChart(Plot, { bars, xLabel: "share of the spread, %" }, size);
    this.#bars = { played, draw };
    return draw;
  }

  #bareSpots({ bareSpots: { spots, worst, leastBuild }, coverage }: HowSure) {
    const { viewing } = coverage;
    const shown = spots[worst];
    return html`
      <p>
        ${
          shown.besideRest < 1
            ? html`A missed spot hardly shows on any part: ΔE00 ${differenceText(shown.besideRest)} at most beside the rest.`
            : html`It shows most on <strong>${shown.name}</strong>: ΔE00 ${differenceText(shown.besideRest)} beside the rest, ${shown.words}.`
        }
        ${
          leastBuild === undefined
            ? html`As planned the job does not pass at this ratio.`
            : html`Down to ${percentText(leastBuild)} of the planned basecoat every part still passes.`
        }
      </p>
      <div class="panels">
        ${spots.map(({ name, besideRest, toTarget, words, XYZ, restXYZ }) =>
          panel(
            {
              label: `${name}: bare spot`,
              subLabel: `ΔE00 ${differenceText(besideRest)} beside the rest: ${words}. ${viewing.formula} ${differenceText(toTarget)} to the target`,
              sampleLabel: "spot",
              targetLabel: "rest",
            },
            XYZ,
            viewing,
            restXYZ,
          ),
        )}
      </div>
    `;
  }

  #opinion(value: HowSure) {
    const { opinion } = this.parameters;
    return html`
      <p>
        <button ?disabled=${this.acting !== undefined} @click=${() => this.act("second")}>Ask exact light transport</button>
      </p>
      ${
        opinion
          ? html`<div class=${value.opinionIsStale ? "kept words stale" : "kept words"}>
              ${
                value.opinionIsStale
                  ? html`<p class="stale-note"><strong>From an earlier question.</strong> Something has changed since: ask again.</p>`
                  : nothing
              }
              <p>At ${percentText(opinion.ratio)}: ${opinion.words} ${value.opinionIsStale ? nothing : nowWords(opinion, this.#ratioNow(value))}</p>
            </div>`
          : html`<p class="soft words">
              The film theory behind every curve here follows two streams of light. For thin, strongly coloured coats it tends to be too
              dark. Exact light transport takes a moment longer and marks how far the two lie apart.
            </p>`
      }
    `;
  }

  static override styles = [
    ...viewStyles,
    css`
      /* Room for what an answer will take, so that nothing below moves when it comes. */
      .room {
        min-block-size: 690px;
      }
      .words {
        min-block-size: 7rem;
      }
      .empty {
        border: 2px dashed var(--bole-hairline);
        border-radius: var(--bole-radius);
        padding: 12px 16px;
      }
      @media (max-width: 560px) {
        .room {
          min-block-size: 820px;
        }
        .words {
          min-block-size: 14rem;
        }
      }
      .along {
        max-width: 26rem;
        margin-block: 12px;
      }
      h3 {
        margin: 22px 0 6px;
      }
    `,
  ];
}

function nearest(values: ArrayLike<number>, place: number): number {
  let best = 0;
  for (let k = 1; k < values.length; k++)
    if (Math.abs(values[k] - place) < Math.abs(values[best] - place)) best = k;
  return best;
}
