import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { tradeWords } from "../../src/colour/tradeWords.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { csvText, fileNameOf } from "../../src/controls/chartFile.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { saveText } from "../../src/controls/saveFile.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { plural } from "../../src/words/plural.ts";
import { groundRanking, type RankedGrounds } from "./define.ts";
import { basecoatSettings, inOrder } from "./model/compute.ts";
import type { KeptGround, KeptRanking } from "./model/kept.ts";

const tag = "bole-view-ground-ranking";
export default tag;

const shownAtFirst = 6;

@customElement(tag)
export class GroundRankingView extends CellView<
  RankedGrounds,
  ParameterValues<typeof groundRanking.parameters>
> {
  @state() private all = false;

  protected override render() {
    const { value } = this;
    const { found } = this.parameters;
    const field = (name: keyof typeof groundRanking.parameters) =>
      parameterField(this, groundRanking.parameters, name);
    return html`
      ${
        value?.isStale
          ? html`<p class="stale-note"><strong>From an earlier question.</strong> The red, its coats, the parts, the paints at hand or
        a limit has changed since: rank again. The panels below are those of today.</p>`
          : nothing
      }
      ${value && found ? this.verdictLine(false) : nothing}
      <div class="row">
        <button class="act" ?disabled=${this.acting !== undefined} @click=${() => this.act("rank")}>Rank every ground</button>
        <div class="order">${field("order")}</div>
      </div>
      ${
        value && found
          ? this.#list(value, found)
          : html`<p class="soft">
              Every pair and triple of the base paints at hand is brought to its own best blend, plain and with a little of each
              paste, and looked at under the red.
            </p>`
      }
      <details>
        <summary>What may be tried</summary>
        <div class="fields">${(["members", "maxTint", "maxCoats", "transferEfficiency"] as const).map(field)}</div>
      </details>
    `;
  }

  #name(id: string): string {
    const { recipe, basecoat } = this.value!.coverage;
    return [...basecoat.available, ...recipe.available].find((component) => component.id === id)?.name ?? id;
  }

  #list(value: RankedGrounds, found: KeptRanking) {
    const list = inOrder(found, this.parameters.order);
    const shown = this.all ? list : list.slice(0, shownAtFirst);
    return html`
      <ol class=${value.isStale ? "cards stale" : "cards"}>
        ${shown.map(({ ground, index }, place) => this.#card(value, ground, index, place + 1))}
      </ol>
      <p class="row">
        ${
          list.length > shownAtFirst
            ? html`<button @click=${() => (this.all = !this.all)}>${this.all ? "Show the first few" : `Show all ${list.length}`}</button>`
            : nothing
        }
        <button @click=${() => this.#save(list.map(({ ground }) => ground))}>Save the list as CSV</button>
      </p>
      ${found.notes.map((note) => html`<p class="soft">${note}.</p>`)}
    `;
  }

  #card({ coverage, previews }: RankedGrounds, ground: KeptGround, index: number, place: number) {
    const preview = previews[index];
    const { viewing, targetSeen } = coverage;
    return html`<li>
      <div class="looks">
        ${
          preview
            ? html`${panel({ label: `${place}. The ground` }, preview.ground.XYZ, viewing)}
                ${panel(
                  {
                    label: `${viewing.formula} ${differenceText(preview.worst.difference)}`,
                    subLabel: `${preview.worst.part}: ${tradeWords(targetSeen.Lab, preview.worst.seen.Lab).text}`,
                    sampleLabel: "part",
                  },
                  preview.worst.seen.XYZ,
                  viewing,
                  targetSeen.XYZ,
                )}`
            : html`<p>${place}. A member of it is no longer at hand.</p>`
        }
      </div>
      <div>
        <ul class="inline">
          ${ground.members.map(
            ({ component, share }) =>
              html`<li><strong>${percentText(share, share < 0.1 ? 1 : 0)}</strong> ${this.#name(component)}</li>`,
          )}
        </ul>
        <p>
          ${ground.coats === null ? "Never passes within the coats tried" : `Passes after ${plural(ground.coats, "colour coat")}`}
          · ${ground.basecoatsToHide === null ? "does not hide the darkest part" : `hides the darkest part in ${plural(ground.basecoatsToHide, "basecoat")}`}
          · contrast ratio ${percentText(ground.contrastRatio, 1)}
          ${ground.cost === null ? nothing : html` · ${this.inUnits(`${ground.cost.toFixed(2)} per m²`)}`}
        </p>
        ${ground.outstanding ? html`<p class="soft">No other ground is as good in all four respects.</p>` : nothing}
        ${
          preview && !preview.hindrance
            ? html`<button @click=${() => this.#take(ground)}>Take ground ${place}</button>`
            : html`<p class="soft">${preview?.hindrance ? `${preview.hindrance}.` : nothing}</p>`
        }
      </div>
    </li>`;
  }

  #take(ground: KeptGround): void {
    this.setElsewhere(this.value!.coverage.basecoat.cell, basecoatSettings(ground));
  }

  #save(grounds: readonly KeptGround[]): void {
    const table = {
      columns: [
        "ground",
        "ΔE00 of the worst part",
        "colour coats",
        "ΔE00 to its own opaque film on the darkest part",
        "basecoats to hide",
        "contrast ratio",
        "cost per m²",
        "nothing else as good in all",
      ],
      rows: grounds.map((ground) => [
        ground.members
          .map(({ component, share }) => `${percentText(share, 1)} ${this.#name(component)}`)
          .join(" + "),
        ground.difference,
        ground.coats ?? undefined,
        ground.hiding,
        ground.basecoatsToHide ?? undefined,
        ground.contrastRatio,
        ground.cost ?? undefined,
        ground.outstanding ? "yes" : "no",
      ]),
    };
    saveText(`${fileNameOf(this.cell.title)}.csv`, csvText(table), "text/csv");
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
      .order {
        flex: 0 1 22rem;
        min-width: 0;
      }
      .cards {
        list-style: none;
        padding: 0;
        display: grid;
        gap: 14px;
      }
      .cards > li {
        display: grid;
        grid-template-columns: minmax(240px, 400px) 1fr;
        gap: 16px;
        border-top: 1px solid var(--bole-hairline);
        padding-top: 12px;
      }
      .looks {
        display: grid;
        grid-template-columns: 1fr 1fr;
        gap: 12px;
      }
      .cards p {
        margin: 4px 0;
      }
      @media (max-width: 700px) {
        .cards > li {
          grid-template-columns: 1fr;
        }
      }
    `,
  ];
}
