import { css, html, nothing, svg } from "lit";
import { customElement, state } from "lit/decorators.js";
import { layPicture, pictureScale, pictureSize, shareWords } from "../../src/charts/layerPicture.ts";
import { Eye } from "../../src/coating/eye.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { explainTerms } from "../../src/controls/explainTerms.ts";
import { screenColour } from "../../src/controls/panelColour.ts";
import { partAndWavelength } from "../../src/controls/partAndWavelength.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { reflectivityInto } from "../../src/optics/film.ts";
import { eyeConditions } from "../../src/ports/seenTarget.ts";
import { glossary } from "../../src/tables/glossary.ts";
import { type LayerPicture, layerPicture, type Section, type SectionLayer } from "./define.ts";

const tag = "bole-view-layer-picture";
export default tag;

const stillness = matchMedia("(prefers-reduced-motion: reduce)");

@customElement(tag)
export class LayerPictureView extends CellView<
  LayerPicture,
  ParameterValues<typeof layerPicture.parameters>
> {
  /** Counts up to start the motion afresh; 0 while it has never run. */
  @state() private run = 1;
  @state() private still = stillness.matches;

  readonly #stillnessChanged = () => (this.still = stillness.matches);

  override connectedCallback(): void {
    super.connectedCallback();
    stillness.addEventListener("change", this.#stillnessChanged);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    stillness.removeEventListener("change", this.#stillnessChanged);
  }

  protected override render() {
    const { value } = this;
    if (!value) return nothing;
    const { withBasecoat, bare, part } = value;
    const scale = pictureScale(
      [withBasecoat, bare].flatMap((section) =>
        section ? [section.layers.reduce((sum, { dryThickness }) => sum + dryThickness, 0)] : [],
      ),
    );
    return html`
      ${this.verdictLine()}
      ${partAndWavelength(this, layerPicture.parameters, value.parts)}
      <div class="pictures">
        ${withBasecoat ? this.#section(value, withBasecoat, `${part.substrate.name} with the basecoat`, scale) : nothing}
        ${this.#section(value, bare, `${part.substrate.name} without basecoat`, scale)}
      </div>
      <p class="soft">
        ${explainTerms(
          "Film thicknesses are to scale, the part is not. All light together is as wide as the whole beam; arrows " +
            "pointing up come back, points end where the light is swallowed.",
          glossary,
        )}
      </p>
      ${this.still ? nothing : html`<button @click=${() => (this.run += 1)}>Let the light run again</button>`}
    `;
  }

  /** The layer that takes most of the light over the bare part. */
  #section(value: LayerPicture, section: Section, label: string, scale: number) {
    const laid = layPicture(section.layers, { scale });
    const colours = section.layers.map((layer) => this.#fill(value, layer));
    const { edge, height, width, boxes, rays, labels, broken, bar } = laid;
    const words = section.layers
      .map(
        (layer) =>
          `${layer.label}${layer.role === "part" ? "" : `, ${this.inUnits(`${layer.dryThickness.toFixed(1)} µm`)} dry`}: ${shareWords(layer.swallowed)} swallowed, ${shareWords(layer.turned)} turned back`,
      )
      .join("; ");
    return html`<figure>
      <figcaption>${label}: ${shareWords(section.back)} comes back</figcaption>
      <svg viewBox="0 0 ${width} ${height}" role="img" aria-label=${`${label}, cut through. ${words}.`}>
        <rect class="air" x="0" y="0" width=${edge} height=${pictureSize.air}></rect>
        ${boxes.map(
          ({ y, height }, index) =>
            svg`<rect class="layer" x="0" y=${y} width=${edge} height=${height} fill=${colours[index]}></rect>`,
        )}
        <path class="broken" d="${broken} V${height} H0 Z"></path>
        ${rays.map(
          ({ outline, width }) =>
            svg`<path class="ray" stroke-width=${Math.min(1.2, 0.35 * width)} d=${outline}></path>`,
        )}
        ${this.still ? nothing : this.#flows(rays)}
        ${labels.map(
          ({ lines, y, edge: from }) => svg`
            <path class="leader" d="M${edge} ${from} L${edge + 8} ${y + ((lines.length - 1) * pictureSize.lineHeight) / 2 - 5}"></path>
            ${lines.map(
              (line, at) =>
                svg`<text class=${at === 0 ? "name" : "words"} x=${edge + 12} y=${y + at * pictureSize.lineHeight}>${this.inUnits(line)}</text>`,
            )}`,
        )}
        ${
          bar
            ? svg`<path class="scale" d="M${bar.x - 4} ${bar.y} h8 m-4 0 v${bar.length} m-4 0 h8"></path>
                <text class="words" x=${bar.x + 10} y=${bar.y + bar.length / 2 + 5}>${this.inUnits("10 µm")}</text>`
            : nothing
        }
      </svg>
    </figure>`;
  }

  /** Dashes that travel along the rays a few times and then rest. */
  #flows(rays: ReturnType<typeof layPicture>["rays"]) {
    return rays
      .filter(({ width }) => width >= 2)
      .map(({ flow }) => svg`<path class=${this.run % 2 === 0 ? "flow even" : "flow odd"} d=${flow}></path>`);
  }

  #fills: { value: LayerPicture; byRole: Record<SectionLayer["role"], string> } | undefined;

  /** Each layer in its own colour, as in a film that hides everything. */
  #fill(value: LayerPicture, { role }: SectionLayer): string {
    if (this.#fills?.value !== value) {
      const { coverage, part } = value;
      const { viewing, basecoat, opaque } = coverage;
      const eye = new Eye(eyeConditions(viewing));
      const internal = new Float64Array(part.substrate.internal.length);
      if (basecoat) reflectivityInto(basecoat.absorption, basecoat.scattering, internal);
      this.#fills = {
        value,
        byRole: {
          colour: screenColour(opaque.XYZ, viewing).css,
          basecoat: screenColour(eye.see(internal).XYZ, viewing).css,
          part: screenColour(eye.see(part.substrate.internal).XYZ, viewing).css,
        },
      };
    }
    return this.#fills.byRole[role];
  }

  static override styles = [
    ...viewStyles,
    css`
      .pictures {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 340px), 1fr));
        gap: 18px 28px;
        margin-block: 14px;
      }
      figure {
        margin: 0;
        max-inline-size: 480px;
      }
      figcaption {
        font-weight: 700;
        margin-block-end: 6px;
      }
      svg {
        display: block;
        inline-size: 100%;
        overflow: visible;
      }
      .air {
        fill: var(--bole-surround);
      }
      .layer {
        forced-color-adjust: none;
        stroke: var(--bole-ink);
        stroke-width: 0.75;
      }
      .broken {
        fill: var(--bole-paper);
        stroke: none;
      }
      .ray {
        fill: #ffffff;
        stroke: #161616;
        stroke-linejoin: round;
        forced-color-adjust: none;
      }
      .flow {
        fill: none;
        stroke: #161616;
        stroke-width: 2;
        stroke-dasharray: 3 13;
        stroke-linecap: round;
        animation: 1.6s linear 3 travel-odd;
      }
      .flow.even {
        animation-name: travel-even;
      }
      @keyframes travel-odd {
        to {
          stroke-dashoffset: -48;
        }
      }
      @keyframes travel-even {
        to {
          stroke-dashoffset: -48;
        }
      }
      .leader,
      .scale {
        fill: none;
        stroke: var(--bole-ink-soft);
        stroke-width: 1;
      }
      text {
        fill: var(--bole-ink);
        font-size: 15px;
      }
      .name {
        font-weight: 700;
      }
      @media print {
        .air,
        .layer,
        .ray {
          print-color-adjust: exact;
          -webkit-print-color-adjust: exact;
        }
        .flow {
          display: none;
        }
      }
    `,
  ];
}
