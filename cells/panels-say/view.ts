import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import "../../src/controls/boleFile.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import type { ChartTable } from "../../src/controls/chartFile.ts";
import { FollowLedger } from "../../src/controls/followLedger.ts";
import { differenceText } from "../../src/controls/numbers.ts";
import { panel as swatch } from "../../src/controls/panelColour.ts";
import "../../src/controls/saveButtons.ts";
import { UntilEdited } from "../../src/controls/untilEdited.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { messageOf } from "../../src/graph/messageOf.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { ledger } from "../../src/ledger/atHand.ts";
import { besideLedger, olderWords } from "../../src/ledger/besideLedger.ts";
import type { LedgerChange, LedgerEntry } from "../../src/ledger/ledgerFile.ts";
import { idOfPanel, type Panel } from "../../src/ledger/panel.ts";
import { writePanels } from "../../src/ledger/panelCsv.ts";
import type { PanelsSay } from "../../src/ledger/say.ts";
import { panelsOfRows } from "../../src/ledger/shelfRows.ts";
import { plural } from "../../src/words/plural.ts";
import type { panelsSay, WhatPanelsSay } from "./define.ts";
import type { OwnPanel } from "./model/parameters.ts";
import { earlierStates } from "./view/earlier.ts";
import { panelsChart } from "./view/panelsChart.ts";
import { nextSection, pastesSection } from "./view/sections.ts";
import { jumpWords, shiftWords, verdictWords, worstPaste } from "./view/words.ts";

const tag = "bole-view-panels-say";
export default tag;

@customElement(tag)
export class PanelsSayView extends CellView<WhatPanelsSay, ParameterValues<typeof panelsSay.parameters>> {
  @state() private trouble = "";
  @state() private told = "";
  /** The panel whose words are being changed. */
  @state() private open = "";
  protected readonly untilEdited = new UntilEdited(this, () => (this.trouble = ""));
  #drawn: { said: PanelsSay; draw: ChartDraw } | undefined;

  constructor() {
    super();
    new FollowLedger(this);
  }

  protected override render() {
    const { value } = this;
    const said = value?.said;
    const { panels } = this.parameters;
    return html`
      ${said ? html`<p class="verdict">${verdictWords(said)}</p>` : html`<p class="verdict">${panels.length > 0 ? `${plural(panels.length, "panel")}: nothing was learnt from them yet.` : "There are no panels yet. Readings come from a calibration, a correction or a job record by “To the ledger”, or as CSV."}</p>`}
      ${this.#besideLedger()} ${this.#presses(value)}
      ${said ? this.#findings(said) : nothing}
      ${said && panels.length > 0 ? this.#chart(said) : nothing}
      ${value && said ? html`${nextSection(value, said, this.units)} ${this.#parts(value)} ${pastesSection(said)} ${this.#shelfBefore(value)}` : nothing}
      ${panels.length > 0 ? this.#panels(said) : nothing} ${this.#files()}
    `;
  }

  /** How the panels here stand to the ledger: a notebook says when its shelf is older. */
  #besideLedger() {
    const { entries, trouble } = ledger;
    if (!entries) {
      return trouble ? html`<p>The ledger of panels could not be read: ${trouble}.</p>` : nothing;
    }
    const { more, changed, onlyHere } = besideLedger(this.parameters.panels, entries);
    return html`
      ${
        more.length + changed.length > 0
          ? html`<div class="row" role="status">
              <span>
                <strong>This shelf is older than the ledger:</strong> ${olderWords(more.length, changed.length)}
              </span>
              <button @click=${() => this.#takeIn([...more, ...changed])}>Take them in</button>
              ${changed.length > 0 ? html`<button @click=${() => this.#correctThere(changed)}>Correct the ledger by what is here</button>` : nothing}
            </div>`
          : nothing
      }
      ${
        onlyHere.length > 0 && entries.length + onlyHere.length > 0
          ? html`<div class="row">
              <span>${plural(onlyHere.length, "panel")} ${onlyHere.length === 1 ? "is" : "are"} in this notebook only.</span>
              <button @click=${() => this.#give(onlyHere)}>To the ledger</button>
            </div>`
          : nothing
      }
    `;
  }

  #presses(value: WhatPanelsSay | undefined) {
    const { panels } = this.parameters;
    const learn = value?.isPresent ? "Learn from them again" : "Learn from the panels";
    return html`<div class="row">
      <button ?disabled=${panels.length === 0 || this.acting !== undefined} @click=${() => this.act("learn")}>${learn}</button>
      ${
        value?.said
          ? html`<button
                ?disabled=${!value.isPresent || value.isUsed || this.acting !== undefined}
                @click=${() => this.act("use")}
              >Use what the panels say</button>
              <span>${
                value.isUsed
                  ? "The shelf of this notebook has it."
                  : value.isPresent
                    ? "The shelf is as it was; using it can be undone."
                    : "This was learnt from other panels, or from another shelf: learn again."
              }</span>`
          : nothing
      }
    </div>`;
  }

  #findings(said: PanelsSay) {
    const odd = said.panels.filter((one) => one.contradicts && one.used);
    const lines = [
      ...odd.map(
        ({ id, off, words, likely }) =>
          `${this.#labelOf(id)} contradicts the rest: it is ${words} (ΔE00 ${differenceText(off)}).${likely ? ` It would fit if ${likely}.` : ""}`,
      ),
      ...said.bottles.filter(({ jump }) => jump !== null).map(jumpWords),
      ...(said.shifts ?? []).map(shiftWords),
      worstPaste(said),
    ].filter((line) => line !== "");
    return lines.length > 0 ? html`<ul>${lines.map((line) => html`<li>${line}</li>`)}</ul>` : nothing;
  }

  #labelOf(id: string): string {
    return (
      this.parameters.panels.find((one) => one.id === id)?.panel.label ?? "A panel that is not here any more"
    );
  }

  #chart(said: PanelsSay) {
    const used = said.panels.filter((one) => one.used);
    if (used.length === 0) return nothing;
    const table = (): ChartTable => ({
      columns: ["panel", "ΔE00 to what all others say", "nine of ten within"],
      rows: used.map(({ id, off, band }) => [this.#labelOf(id), off, band]),
    });
    return html`<bole-chart
      label="How near each panel lies to what all others say"
      .summary=${`Each dot is a panel; nine of ten should lie below their dash. ${said.errors.length > 1 ? "The line is the error on panels yet to come, after so many were in." : ""}`}
      .draw=${this.#draw(said, used)}
      .height=${360}
      .table=${table}
    ></bole-chart>`;
  }

  #draw(said: PanelsSay, points: PanelsSay["panels"]): ChartDraw {
    if (this.#drawn?.said === said) return this.#drawn.draw;
    const draw: ChartDraw = (Plot, size) => panelsChart(Plot, { points, errors: said.errors }, size);
    this.#drawn = { said, draw };
    return draw;
  }

  #parts({ parts, coverage, isUsed }: WhatPanelsSay) {
    if (!coverage || parts.length === 0 || isUsed) return nothing;
    return html`<h3>What would change in the recipe</h3>
      <p>The recipe stays; its colour is predicted anew, with the pastes as the panels have them.</p>
      <div class="panels">
        ${parts.map(({ name, now, taught, moved }) =>
          swatch(
            {
              label: name,
              subLabel: `moves by ΔE00 ${differenceText(moved)}${taught.difference === undefined ? "" : `; to the target ${differenceText(now.difference)} → ${differenceText(taught.difference)}`}`,
              sampleLabel: "by the panels",
              targetLabel: "as predicted now",
            },
            taught.XYZ,
            coverage.viewing,
            now.XYZ,
          ),
        )}
      </div>`;
  }

  /** Only as long as the shelf does not have it: else every panel would count twice. */
  #shelfBefore({ isUsed }: WhatPanelsSay) {
    const { before } = this.parameters;
    if (before.length === 0 || isUsed || this.parameters.used !== "") return nothing;
    return html`<details>
      <summary>Where learning begins</summary>
      <p>
        It begins with ${plural(before.length, "paste")} as they were known when the first panel was learnt from. If you have
        calibrated one anew since, begin with the shelf as it is now.
      </p>
      <button @click=${() => this.set({ before: [], learnt: null })}>Begin with the shelf as it is now</button>
    </details>`;
  }

  #panels(said: PanelsSay | undefined) {
    const { panels } = this.parameters;
    return html`<details>
      <summary>The panels</summary>
      <div class="scroll" tabindex="0" role="region" aria-label="The panels">
        <table>
          <thead>
            <tr>
              <th scope="col">Panel</th><th scope="col">date</th><th scope="col">over</th>
              <th scope="col" class="number">ΔE00</th><th scope="col" class="number">nine of ten within</th>
              <th scope="col">in words</th><th scope="col"><span class="unseen">Change</span></th>
            </tr>
          </thead>
          <tbody>${panels.map((one) => this.#row(one, said))}</tbody>
        </table>
      </div>
    </details>`;
  }

  #row({ id, panel }: OwnPanel, said: PanelsSay | undefined) {
    const own = said?.panels.find((one) => one.id === id);
    const { label, date, ground, below, setAside } = panel;
    return html`<tr>
        <th scope="row">${label}</th>
        <td>${date || "–"}</td>
        <td>${below ? `${plural(below.length, "film")} on ` : ""}${ground.name}</td>
        <td class="number">${own ? differenceText(own.off) : "–"}</td>
        <td class="number">${own ? differenceText(own.band) : "–"}</td>
        <td>${setAside ? `set aside: ${setAside}` : (own?.words ?? "")}</td>
        <td><button aria-expanded=${this.open === id} aria-label=${`Change ${label}`} @click=${() => (this.open = this.open === id ? "" : id)}>Change</button></td>
      </tr>
      ${this.open === id ? html`<tr><td colspan="7">${this.#form(id, panel)}</td></tr>` : nothing}`;
  }

  #form(id: string, panel: Panel) {
    const field = (name: "label" | "date" | "habit" | "setAside", label: string, most: number) =>
      html`<label>${label}<input class="box" name=${name} maxlength=${most} .value=${panel[name]} autocomplete="off" /></label>`;
    return html`<form
      @submit=${(event: SubmitEvent) => {
        event.preventDefault();
        const said = new FormData(event.target as HTMLFormElement);
        const text = (name: string) => String(said.get(name) ?? "").trim();
        const parts = panel.parts.map(({ batch: _, ...part }, k) => {
          const batch = text(`bottle ${k}`);
          return batch ? { ...part, batch } : part;
        });
        const words = { date: text("date"), habit: text("habit"), setAside: text("setAside") };
        void this.#correct(id, { ...panel, ...words, parts, label: text("label") || panel.label });
      }}
    >
      <div class="fields">
        ${field("label", "Panel", 200)} ${field("date", "Date", 40)} ${field("habit", "Instrument, or whose hand", 80)}
        ${panel.parts.map(
          ({ name, batch = "" }, k) =>
            html`<label>Bottle of ${name}<input class="box" name=${`bottle ${k}`} maxlength="80" .value=${batch} autocomplete="off" /></label>`,
        )}
        ${field("setAside", "Set aside, because (empty: it is learnt from)", 200)}
      </div>
      <div class="row">
        <button>Keep</button>
        <button type="button" @click=${() => (this.open = "")}>Cancel</button>
        <button type="button" @click=${() => this.#drop(id)}>Take out of this notebook</button>
      </div>
      ${earlierStates(
        ledger.entries?.find((one) => one.id === id),
        (state) => void this.#correct(id, state),
      )}
    </form>`;
  }

  #files() {
    const { panels } = this.parameters;
    return html`<details>
      <summary>Panels as CSV</summary>
      ${
        panels.length > 0
          ? html`<bole-save-buttons
              label="the panels"
              .name=${this.cell.title}
              .files=${[{ form: "CSV", ending: ".csv", type: "text/csv", write: () => writePanels(panels.map((one) => one.panel)) }]}
            ></bole-save-buttons>`
          : nothing
      }
      <bole-file
        label="Panels to bring in"
        accept=".csv,.txt"
        .maxBytes=${20_000_000}
        @file=${(event: CustomEvent<{ name: string; text: string }>) => this.#bringIn(event.detail)}
      ></bole-file>
      ${this.trouble ? html`<bole-message kind="error" field="Panels" .text=${this.trouble}><p>The panels stay as they were.</p></bole-message>` : nothing}
      ${this.told ? html`<p role="status">${this.told}</p>` : nothing}
    </details>`;
  }

  /** Panels under their ids, those that are here already in their place. */
  #put(next: readonly OwnPanel[]): void {
    const own = this.parameters.panels;
    const by = new Map(next.map((one) => [one.id, one]));
    const here = new Set(own.map(({ id }) => id));
    this.set({
      panels: [...own.map((one) => by.get(one.id) ?? one), ...next.filter(({ id }) => !here.has(id))],
    });
  }

  #takeIn(entries: readonly LedgerEntry[]): void {
    this.#put(entries.map(({ id, panel }) => ({ id, panel })));
  }

  async #give(panels: readonly OwnPanel[]): Promise<void> {
    await this.#change(panels.map(({ id, panel }) => ({ id, panel, basedOn: 0 })));
  }

  /** What was undone here is undone there too. */
  async #correctThere(entries: readonly LedgerEntry[]): Promise<void> {
    const own = new Map(this.parameters.panels.map(({ id, panel }) => [id, panel]));
    await this.#change(
      entries.flatMap(({ id, number }) => {
        const panel = own.get(id);
        return panel ? [{ id, panel, basedOn: number }] : [];
      }),
    );
  }

  /** Corrected here, and in the ledger where it is in there. */
  async #correct(id: string, panel: Panel): Promise<void> {
    const entry = ledger.entries?.find((one) => one.id === id);
    this.open = "";
    this.#put([{ id, panel }]);
    if (entry) await this.#change([{ id, panel, basedOn: entry.number }]);
  }

  #drop(id: string): void {
    this.open = "";
    this.set({ panels: this.parameters.panels.filter((one) => one.id !== id) });
  }

  async #change(changes: readonly LedgerChange[]): Promise<void> {
    this.trouble = "";
    try {
      await ledger.change(changes);
    } catch (error) {
      this.trouble = `The ledger was not changed: ${messageOf(error)}`;
    }
  }

  async #bringIn({ name, text }: { name: string; text: string }): Promise<void> {
    this.trouble = this.told = "";
    try {
      const { readShelfFile } = await import("../../src/tables/shelfFile.ts");
      const components = this.value?.pigments.components ?? [];
      const { panels, notes } = panelsOfRows(
        readShelfFile(text, name),
        (called) =>
          components.find((one) =>
            [one.id, one.name].some((own) => own.toLowerCase() === called.toLowerCase()),
          )?.id,
      );
      this.#put(panels.map((panel) => ({ id: idOfPanel(panel), panel })));
      this.told = [`${plural(panels.length, "panel")} brought in.`, ...notes.map((note) => `${note}.`)].join(
        " ",
      );
    } catch (error) {
      this.trouble = messageOf(error);
    }
  }

  static override styles = [
    ...viewStyles,
    css`
      h3 {
        font-size: 1.1rem;
        margin-block: 20px 4px;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 8px 12px;
        margin-block: 12px;
      }
      label {
        display: flex;
        flex-direction: column;
        gap: 4px;
      }
      .box {
        padding: 0 0.7rem;
      }
      li {
        max-inline-size: 80ch;
      }
    `,
  ];
}
