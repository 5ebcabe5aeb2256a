import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { frontChart } from "../../src/charts/frontChart.ts";
import { inParts } from "../../src/coating/blend.ts";
import { tradeWords } from "../../src/colour/tradeWords.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import type { ChartTable } from "../../src/controls/chartFile.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { litrePerUsGallon, measureText, shownUnit, type UnitSystem } from "../../src/units/units.ts";
import { wordsIn } from "../../src/units/wordsIn.ts";
import { plural } from "../../src/words/plural.ts";
import { type JointPlans, jointPlanCell, type PlanPreview } from "./define.ts";
import { blendSettings, planSettings } from "./model/compute.ts";
import type { KeptPlan, KeptPlans } from "./model/kept.ts";

const tag = "bole-view-joint-plan";
export default tag;

@customElement(tag)
export class JointPlanView extends CellView<JointPlans, ParameterValues<typeof jointPlanCell.parameters>> {
  /** The plan that is looked at; the best one until another is chosen. */
  @state() private chosen: { found: KeptPlans; index: number } | undefined;
  #drawn:
    | { value: JointPlans; found: KeptPlans; index: number; units: UnitSystem; draw: ChartDraw }
    | undefined;

  protected override render() {
    const { value } = this;
    const { found, goal } = this.parameters;
    const field = (name: keyof typeof jointPlanCell.parameters) =>
      parameterField(this, jointPlanCell.parameters, name);
    return html`
      ${
        value?.isStale
          ? html`<p class="stale-note"><strong>From an earlier question.</strong> The target, the parts, the paints, the pastes in the
        recipe or a limit has changed since: look again. The panels below are those of today.</p>`
          : nothing
      }
      ${value && found ? this.verdictLine(false) : nothing}
      <div class="row">
        <button class="act" ?disabled=${this.acting !== undefined} @click=${() => this.act("plan")}>
          ${goal === "cost" ? "Find the cheapest plan" : "Find the leanest plan"}
        </button>
        <div class="goal">${field("goal")}</div>
      </div>
      ${
        value && found
          ? this.#plans(value, found)
          : html`<p class="soft">
              Basecoat ratio, recipe and number of coats are tried together, over every part and in every light of the viewing cell.
              Nothing is changed until you take a plan.
            </p>`
      }
      <details>
        <summary>What a plan must keep to</summary>
        <div class="fields">
          ${(["otherTolerance", "leastBasecoats", "mostBasecoats", "leastLight", "mostLight", "mostHeavy", "maxDryBuild", "transferEfficiency"] as const).map(field)}
        </div>
      </details>
    `;
  }

  #index(found: KeptPlans): number {
    return this.chosen?.found === found ? this.chosen.index : found.best;
  }

  #plans(value: JointPlans, found: KeptPlans) {
    const index = this.#index(found);
    const { name: litre, millilitres } = large[this.units];
    return html`<div class=${value.isStale ? "kept stale" : "kept"}>
      <bole-chart
        .label=${`What each further ${litre} buys: ΔE00 of the worst part against ${litre}s to spray`}
        summary="Each point is a plan, marked basecoats + light + heavy coats: more volume buys a smaller difference. Press a point to look at it."
        .draw=${this.#draw(value, found, index)}
        .height=${360}
        .readPlace=${(x: number) => planText(found.plans[nearestPlan(found, x * millilitres)], this.units)}
        .onPlace=${(x: number) => {
          this.chosen = { found, index: nearestPlan(found, x * millilitres) };
        }}
        .table=${() => tableOf(found, value, this.units)}
      ></bole-chart>
      ${this.#table(value, found, index)} ${this.#plan(value, found, index)}
      ${found.notes.map((note) => html`<p class="soft">${note[0].toUpperCase() + note.slice(1)}.</p>`)}
    </div>`;
  }

  #table({ coverage }: JointPlans, found: KeptPlans, index: number) {
    const two = coverage.basecoat.paints[1];
    const priced = found.plans.some(({ cost }) => cost !== null);
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Plans">
      <table>
        <caption class="unseen">Plans, from the least volume to the greatest</caption>
        <thead>
          <tr>
            <th scope="col">Base + light + heavy</th>
            <th scope="col"><span class="unseen">Look at it</span></th>
            <th scope="col" class="number">To spray</th>
            ${priced ? html`<th scope="col" class="number">Cost</th>` : nothing}
            <th scope="col" class="number">${two?.name}</th>
            ${found.lights.map((light, l) => html`<th scope="col" class="number">${l === 0 ? "ΔE00 in " : ""}${light.replace(/ .*/, "")}</th>`)}
            <th scope="col" class="number">uneven hand</th>
          </tr>
        </thead>
        <tbody>
          ${found.plans.map(
            (plan, k) => html`<tr class=${k === index ? "chosen" : ""}>
              <th scope="row">${coatsInShort(plan)}${plan.passes ? " ✓" : ""}</th>
              <td>
                <button
                  aria-pressed=${k === index}
                  aria-label=${`Look at ${coatsText(plan)}`}
                  @click=${() => {
                    this.chosen = { found, index: k };
                  }}
                >Look</button>
              </td>
              <td class="number">${sprayed(plan, this.units)}</td>
              ${priced ? html`<td class="number">${plan.cost === null ? "–" : plan.cost.toFixed(2)}</td>` : nothing}
              <td class="number">${percentText(blendSettings(plan).ratio)}</td>
              ${plan.inLights.map((d) => html`<td class="number">${differenceText(d)}</td>`)}
              <td class="number">${differenceText(plan.expected)}</td>
            </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  }

  #plan(value: JointPlans, found: KeptPlans, index: number) {
    const plan = found.plans[index];
    const preview = value.previews[index];
    const { coverage } = value;
    const [first, second] = coverage.basecoat.paints;
    const { ratio, thirdShare } = blendSettings(plan);
    const name = (id: string) =>
      [...coverage.recipe.components, ...coverage.recipe.available].find((c) => c.id === id)?.name ?? id;
    return html`
      <h3>${coatsText(plan)}</h3>
      <p>
        Basecoat ${inParts(ratio)} of ${first?.name} and ${second?.name}${thirdShare > 0 ? html`, with ${percentText(thirdShare)} of ${coverage.basecoat.paints[2]?.name}` : nothing}:
        ${measureText(plan.basecoatVolume, "volume", this.units)}. Colour: ${measureText(plan.colourVolume, "volume", this.units)}. Dry film ${measureText(plan.dryBuild, "thickness", this.units)}.
        ${this.inUnits("Per 100 mL of colour:")}
      </p>
      <ul class="inline">
        ${plan.amounts.filter(({ volume }) => volume > 0.005).map(({ component, volume }) => html`<li><strong>${this.inUnits(`${volume.toFixed(2)} mL`)}</strong> ${name(component)}</li>`)}
      </ul>
      ${preview ? this.#panels(coverage, preview) : html`<p class="soft">A component of this plan is no longer at hand.</p>`}
      <button class="act" ?disabled=${!preview} @click=${() => this.setTogether(planSettings(coverage, plan))}>Take this plan</button>
      <p class="soft">It sets the basecoat ratio and coats, the amounts of the recipe, and the coat plan, in one step.</p>
    `;
  }

  #panels({ viewing, targetSeen }: JointPlans["coverage"], { parts }: PlanPreview) {
    return html`<div class="panels">
      ${parts.map(({ name, seen, difference }) =>
        panel(
          {
            label: name,
            subLabel: `${viewing.formula} ${differenceText(difference)}: ${tradeWords(targetSeen.Lab, seen.Lab).text}`,
            sampleLabel: "part",
          },
          seen.XYZ,
          viewing,
          targetSeen.XYZ,
        ),
      )}
    </div>`;
  }

  #draw(value: JointPlans, found: KeptPlans, index: number): ChartDraw {
    const { units } = this;
    const drawn = this.#drawn;
    if (drawn?.value === value && drawn.found === found && drawn.index === index && drawn.units === units)
      return drawn.draw;
    const { name: litre, millilitres } = large[units];
    const { current, coverage } = value;
    const data = {
      points: found.plans.map((plan) => ({
        x: (plan.basecoatVolume + plan.colourVolume) / millilitres,
        difference: plan.worst,
        passes: plan.passes,
        label: coatsInShort(plan),
      })),
      chosen: index,
      current: { x: (1000 * current.litres) / millilitres, difference: current.difference },
      tolerance: coverage.viewing.tolerance,
      xLabel: `${litre}s to spray`,
      yLabel: "ΔE00 of the worst part",
    };
    const draw: ChartDraw = (Plot, size) => frontChart(Plot, data, size);
    this.#drawn = { value, found, index, units, draw };
    return draw;
  }

  static override styles = [
    ...viewStyles,
    css`
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 12px;
        align-items: end;
      }
      .goal {
        flex: 0 1 18rem;
        min-width: 0;
      }
      .kept {
        margin-block-start: 16px;
      }
      th[scope="row"] {
        white-space: nowrap;
      }
      tr.chosen {
        background: var(--bole-press);
      }
      h3 {
        margin: 18px 0 4px;
      }
    `,
  ];
}

function coatsText({ basecoats, lightCoats, heavyCoats }: KeptPlan): string {
  const colour = [
    ...(lightCoats > 0 ? [`${lightCoats} light`] : []),
    ...(heavyCoats > 0 ? [`${heavyCoats} heavy`] : []),
  ].join(" + ");
  return `${plural(basecoats, "basecoat")}, ${colour}`;
}

const coatsInShort = ({ basecoats, lightCoats, heavyCoats }: KeptPlan) =>
  `${basecoats} + ${lightCoats} + ${heavyCoats}`;

/** What large volumes are told in. */
const large = {
  metric: { name: "litre", millilitres: 1000 },
  us: { name: "gallon", millilitres: 1000 * litrePerUsGallon },
} as const;

const sprayed = ({ basecoatVolume, colourVolume }: KeptPlan, units: UnitSystem) =>
  wordsIn(`${((basecoatVolume + colourVolume) / 1000).toFixed(2)} L`, units);

const planText = (plan: KeptPlan, units: UnitSystem) =>
  `${coatsText(plan)}\n${sprayed(plan, units)}, ΔE00 ${differenceText(plan.worst)}${plan.passes ? ", passes" : ""}`;

function nearestPlan({ plans }: KeptPlans, millilitres: number): number {
  const away = ({ basecoatVolume, colourVolume }: KeptPlan) =>
    Math.abs(basecoatVolume + colourVolume - millilitres);
  let best = 0;
  for (let k = 1; k < plans.length; k++) if (away(plans[k]) < away(plans[best])) best = k;
  return best;
}

function tableOf(found: KeptPlans, { coverage }: JointPlans, units: UnitSystem): ChartTable {
  const { unit, per } = shownUnit("volume", units);
  return {
    columns: [
      "basecoats",
      "light coats",
      "heavy coats",
      `basecoat, ${unit}`,
      `colour, ${unit}`,
      `share of ${coverage.basecoat.paints[1]?.name}`,
      ...found.lights.map((light) => `ΔE00 of the worst part in ${light}`),
      "difference on average under an uneven hand",
      "passes",
      "cost",
    ],
    rows: found.plans.map((plan) => [
      plan.basecoats,
      plan.lightCoats,
      plan.heavyCoats,
      plan.basecoatVolume / per,
      plan.colourVolume / per,
      blendSettings(plan).ratio,
      ...plan.inLights,
      plan.expected,
      plan.passes ? "yes" : "no",
      plan.cost ?? undefined,
    ]),
  };
}
