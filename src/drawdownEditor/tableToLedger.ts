import { html, nothing } from "lit";
import { idFromName } from "../calibration/calibratedComponent.ts";
import type { Component } from "../coating/component.ts";
import "../controls/toLedger.ts";
import type { KeptDrawdowns } from "../drawdowns/keptTable.ts";
import { panelsOfTable } from "../drawdowns/panelsOfTable.ts";
import { plural } from "../words/plural.ts";

interface Settings {
  readonly source: "spectra" | "colours";
  readonly drawdowns: KeptDrawdowns | null;
  readonly name: string;
  readonly when: string;
}

const whyNoColours =
  "Colours alone cannot go to the ledger of panels: it needs the bare card as a spectrum, or its light under a film cannot be " +
  "told from the paste. Read the films and the card as spectra.";

/** The press that hands the drawdowns of a calibration on to the ledger of panels, or why it cannot. */
export function tableToLedger(
  { source, drawdowns, name, when }: Settings,
  known: readonly Component[],
  title: string,
) {
  if (source === "colours") return html`<bole-to-ledger .passedOver=${whyNoColours}></bole-to-ledger>`;
  if (!drawdowns) return nothing;
  const paste = { id: idFromName(name), name: name.trim() || "New paste" };
  const origin = `${title}: ${drawdowns.file}`.slice(0, 200);
  const { panels, passedOver } = panelsOfTable(drawdowns, { paste, known, date: when, origin });
  return html`<bole-to-ledger
    .panels=${panels}
    .passedOver=${passedOver > 0 ? `${plural(passedOver, "reading")} over a ground that was not read bare cannot go along.` : ""}
  ></bole-to-ledger>`;
}
