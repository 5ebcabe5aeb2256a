import "../../src/controls/boleChart.ts";
import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { coatsChart } from "../../src/charts/coatsChart.ts";
import { type ReflectanceCurve, reflectanceChart } from "../../src/charts/reflectanceChart.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { panel, screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { measureText } from "../../src/units/units.ts";
import "../../src/controls/saveButtons.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { curveSamples, reflectanceFiles } from "../../src/exchange/exportFiles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Coverage, CoveragePart } from "../../src/ports/coverage.ts";
import { plural } from "../../src/words/plural.ts";
import { coverage } from "./define.ts";

const tag = "bole-view-coverage";
export default tag;

const grid = wavelengths(workingGrid);

@customElement(tag)
export class CoverageView extends CellView<Coverage, ParameterValues<typeof coverage.parameters>> {
  #drawn: { value: Coverage; curves: ChartDraw; coats: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    if (!value) return nothing;
    const { curves, coats } = this.#draw(value);
    const worst = value.parts[value.worst];
    return html`
      <div class="beside">
        <div>
          ${this.verdictLine()}
          <div class="panels moves">${value.parts.map((part) => this.#panel(value, part))}</div>
        </div>
        <bole-chart
          piece="reflectance"
          label=${`Reflectance on ${worst.substrate.name}`}
          .summary=${`Curves of the target, the ground, the colour after each planned coat, and the colour in a film that hides everything, on ${worst.substrate.name}`}
          summary-hidden
          .draw=${curves}
          .height=${310}
        ></bole-chart>
      </div>
      <div class="beside">
        ${
          value.targetSeen
            ? html`<bole-chart
                piece="coats"
                label="Difference to the target, coat by coat"
                .summary=${this.#coatsSummary(value)}
                summary-hidden
                .draw=${coats}
                .height=${290}
              ></bole-chart>`
            : nothing
        }
        <div>${this.#table(value)} ${this.#build(value)}</div>
      </div>
      ${LabDoubtWords(value)}
      <details>
        <summary>How well it hides, further coats, the curves as files</summary>
        ${this.#hiding(value)}
        <div class="beside">
          ${parameterField(this, coverage.parameters, "coatsTried")}
          <bole-save-buttons label="the curves" .name=${this.cell.title} .files=${this.#files(value)}></bole-save-buttons>
        </div>
        ${value.hiding.scopeNote ? html`<p class="soft">${value.hiding.scopeNote}</p>` : nothing}
      </details>
    `;
  }

  #panel({ viewing, targetSeen, basecoat }: Coverage, part: CoveragePart) {
    const { painted, bare } = part;
    const without =
      basecoat && bare.difference !== undefined
        ? `, without basecoat ${differenceText(bare.difference)}`
        : "";
    return panel(
      {
        label: part.substrate.name,
        subLabel: targetSeen ? `${viewing.formula} ${differenceText(painted.difference)}${without}` : "",
        sampleLabel: "painted",
      },
      painted.XYZ,
      viewing,
      targetSeen?.XYZ,
    );
  }

  #draw(value: Coverage) {
    if (this.#drawn?.value === value) return this.#drawn;
    const { viewing, targetSeen, parts, worst, colourCoats, opaque } = value;
    const part = parts[worst];
    const planned = part.painted.coats;
    const colour = (XYZ: ArrayLike<number>) => screenColour(XYZ, viewing).css;
    const lines: ReflectanceCurve[] = [
      {
        label: "ground",
        values: part.groundSeen.reflectance,
        colour: colour(part.groundSeen.XYZ),
        role: "ground",
      },
      ...part.steps.slice(1, planned + 1).map(
        (step): ReflectanceCurve => ({
          label: step.coats === planned ? `${planned} coats, as planned` : plural(step.coats, "coat"),
          values: step.reflectance,
          colour: colour(step.XYZ),
          role: "film",
          emphasis: step.coats === planned,
        }),
      ),
      { label: "hides everything", values: opaque.reflectance, colour: colour(opaque.XYZ), role: "opaque" },
    ];
    if (targetSeen?.reflectance) {
      lines.unshift({
        label: "target",
        values: targetSeen.reflectance,
        colour: colour(targetSeen.XYZ),
        role: "target",
      });
    }
    const series = parts.flatMap((p) => [
      { label: p.substrate.name, deltaE: p.steps.map((step) => step.difference ?? Number.NaN) },
      ...(value.basecoat
        ? [
            {
              label: `${p.substrate.name}, bare`,
              deltaE: p.bareSteps.map((step) => step.difference ?? Number.NaN),
            },
          ]
        : []),
    ]);
    const ownCoats = parts.flatMap(({ substrate: { name, moreCoats = 0 }, painted: { coats } }) =>
      moreCoats > 0 ? [{ label: name, coats }] : [],
    );
    this.#drawn = {
      value,
      curves: (Plot, size) => reflectanceChart(Plot, { curves: lines, wavelengths: grid }, size),
      coats: (Plot, size) =>
        coatsChart(
          Plot,
          {
            series,
            tolerance: viewing.tolerance,
            planned: colourCoats.coats.length,
            own: ownCoats,
            yLabel: `${viewing.formula} to the target`,
          },
          size,
        ),
    };
    return this.#drawn;
  }

  /** Reflectances as seen: target, opaque colour, and each part bare of colour and after every planned coat. */
  #files({ targetSeen, opaque, parts, viewing }: Coverage) {
    const curves = [
      ...(targetSeen?.reflectance ? [{ label: "target", values: targetSeen.reflectance }] : []),
      { label: "hides everything", values: opaque.reflectance },
      ...parts.flatMap(({ substrate: { name }, groundSeen, steps, painted }) => [
        { label: `${name}, ground`, values: groundSeen.reflectance },
        ...steps.slice(1, painted.coats + 1).map(({ coats, reflectance }) => ({
          label: `${name}, ${plural(coats, "coat")}`,
          values: reflectance,
        })),
      ]),
    ];
    const description = `"${this.cell.title}", computed reflectances as seen with sheen ${viewing.sheen}`;
    return reflectanceFiles(curveSamples(curves), description);
  }

  #coatsSummary({ parts, viewing }: Coverage): string {
    return parts
      .map((part) =>
        part.coatsToTarget === undefined
          ? `${part.substrate.name} does not come within ${viewing.tolerance}`
          : `${part.substrate.name} passes after ${part.coatsToTarget} coats`,
      )
      .join("; ");
  }

  #table({ parts, basecoat }: Coverage) {
    const coats = (n: number | undefined) => (n === undefined ? "never" : String(n));
    return html`<div class="scroll" tabindex="0" role="region" aria-label=${`Coats needed: ${this.cell.title}`}>
      <table>
        <caption class="unseen">Coats needed for each part</caption>
        <thead>
          <tr>
            <th scope="col">Part</th>
            <th scope="col" class="number">As planned</th>
            <th scope="col" class="number">Coats to pass</th>
            ${basecoat ? html`<th scope="col" class="number">without basecoat</th>` : nothing}
            <th scope="col" class="number">Coats to hide</th>
          </tr>
        </thead>
        <tbody>
          ${parts.map(
            (part) => html`<tr>
              <th scope="row">${part.substrate.name}</th>
              <td class="number">
                ${part.substrate.moreCoats ? html`<span class="soft">${part.painted.coats} coats</span> ` : nothing}${differenceText(part.painted.difference)}
              </td>
              <td class="number">${coats(part.coatsToTarget)}</td>
              ${basecoat ? html`<td class="number">${coats(part.coatsToTargetBare)}</td>` : nothing}
              <td class="number">${coats(part.coatsToHide)}</td>
            </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  }

  #build({ hiding, colourDryThickness, dryBuild }: Coverage) {
    return html`
      <dl class="figures">
        <div><dt>Colour, dry</dt><dd>${measureText(colourDryThickness, "thickness", this.units)}</dd></div>
        <div><dt>Whole build, dry</dt><dd>${measureText(dryBuild, "thickness", this.units)}</dd></div>
        <div><dt>Contrast ratio</dt><dd>${percentText(hiding.contrastRatio, 1)}</dd></div>
      </dl>
    `;
  }

  #hiding({ hiding }: Coverage) {
    return html`
      <dl class="figures">
        <div><dt>Spread rate at contrast ratio 0.98</dt><dd>${hiding.spreadRateAt98 === undefined ? "–" : measureText(hiding.spreadRateAt98, "spreadRate", this.units)}</dd></div>
        <div><dt>Over black against over white</dt><dd>ΔE00 ${differenceText(hiding.blackWhiteDifference)}</dd></div>
      </dl>
    `;
  }

  static override styles = viewStyles;
}

/** What parts leave open that are known as a Lab only. */
function LabDoubtWords({ parts }: Coverage) {
  const open = parts.filter(({ LabDoubt }) => LabDoubt !== undefined);
  if (open.length === 0) return nothing;
  return html`<p>
    ${open.map(
      ({ substrate: { name }, LabDoubt }, i) =>
        html`${i > 0 ? "; " : ""}${name} is known as Lab only: nine of ten parts with this Lab look the same after the planned
        coats within ΔE00 <strong>${differenceText(LabDoubt)}</strong>`,
    )}.
  </p>`;
}
