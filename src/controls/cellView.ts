import { html, LitElement, nothing, type PropertyValues } from "lit";
import { property } from "lit/decorators.js";
import type { Outcome } from "../graph/outcome.ts";
import type { Verdict } from "../graph/verdict.ts";
import type { UnitSystem } from "../units/units.ts";
import { wordsIn } from "../units/wordsIn.ts";
import { ask } from "./emit.ts";
import type * as Pieces from "./pieces.ts";
import { verdictWords } from "./verdictWords.ts";

/** What a view knows of its cell; the document's cell has this shape. */
interface ViewedCell {
  readonly id: string;
  readonly kind: string;
  readonly title: string;
  readonly parameters: Readonly<Record<string, unknown>>;
}

/** A change that a view asks for. `live` while a gesture goes on. */
export interface SetRequest {
  readonly id: string;
  readonly patch: Readonly<Record<string, unknown>>;
  readonly live: boolean;
  /** Changes of further cells that belong to the same step. */
  readonly also?: readonly { readonly id: string; readonly patch: Readonly<Record<string, unknown>> }[];
}

/** A piece of a cell is to be kept in sight, or let go. */
export interface KeepRequest {
  readonly cell: string;
  readonly piece: string;
}

const nothingKept: ReadonlySet<string> = new Set();

let pieces: typeof Pieces | undefined;
const undressed = new Set<CellView>();

/** From now on every view offers its pieces to be kept in sight: code that is not needed for a first look. */
export function offerPieces(code: typeof Pieces): void {
  pieces = code;
  for (const view of undressed) view.requestUpdate();
  undressed.clear();
}

/**
 * Base of all cell views: shows a value, asks for changes by events, holds no state of the notebook itself.
 * Events: `bole-set` (SetRequest), `bole-act` ({id, action}), `bole-go` ({id}: bring another cell into view),
 * `bole-keep` (KeepRequest).
 */
export abstract class CellView<
  Value = unknown,
  Parameters extends object = Record<string, unknown>,
  Linked extends object = Record<string, unknown>,
> extends LitElement {
  @property({ attribute: false }) cell!: ViewedCell;
  /** Parameters with their initial values filled in. */
  @property({ attribute: false }) parameters!: Parameters;
  @property({ attribute: false }) outcome!: Outcome<Value>;
  /** The last good value, also shown (dimmed by the frame) while the cell is in error. */
  @property({ attribute: false }) value: Value | undefined;
  /** What that value comes to. */
  @property({ attribute: false }) verdict: Verdict | undefined;
  /** Values behind the links, port by port. */
  @property({ attribute: false }) linked: Partial<Linked> = {};
  /** Units in which the job is read and typed. */
  @property() units: UnitSystem = "metric";
  /** Name of the action now running, if any. */
  @property({ attribute: false }) acting: string | undefined;
  /** Names of the pieces that are kept in sight. */
  @property({ attribute: false }) kept: ReadonlySet<string> = nothingKept;
  /** The one piece to show, where this is not the cell itself. */
  @property() only = "";
  /** Height that a chart may take then, px. */
  @property({ type: Number }) fit = 0;
  /** What the one piece to show is called; undefined where it is not there now. */
  pieceLabel: string | undefined;

  constructor() {
    super();
    this.addEventListener("keydown", (event) => this.#keyed(event));
  }

  /** Ask for other parameters. */
  protected set(patch: Partial<Parameters>, live = false): void {
    ask(this, "bole-set", { id: this.cell.id, patch, live });
  }

  /** As `set`, for fields made from a specification. */
  change(patch: Record<string, unknown>, live: boolean): void {
    this.set(patch as Partial<Parameters>, live);
  }

  /** Ask for an action of the cell. */
  protected act(action: string): void {
    ask(this, "bole-act", { id: this.cell.id, action });
  }

  /** Change a parameter of another cell, e.g. the ratio from a point on a chart. */
  protected setElsewhere(id: string, patch: Readonly<Record<string, unknown>>, live = false): void {
    ask(this, "bole-set", { id, patch, live });
  }

  /** Change parameters of several cells in one step. */
  protected setTogether(
    changes: readonly { readonly id: string; readonly patch: Readonly<Record<string, unknown>> }[],
  ): void {
    const [first, ...also] = changes;
    if (first) ask(this, "bole-set", { ...first, live: false, also } satisfies SetRequest);
  }

  /**
   * The verdict in words, its key figure in bold.
   * @param moves whether it follows a slider, so that it keeps its room
   */
  /** Words with measures in them, in the units of the job. */
  protected inUnits(words: string): string {
    return wordsIn(words, this.units);
  }

  protected verdictLine(moves = true) {
    if (!this.verdict) return nothing;
    return html`<p class=${moves ? "verdict moves" : "verdict"}>${verdictWords(this.verdict)}</p>`;
  }

  protected override updated(_: PropertyValues): void {
    if (!pieces) {
      undressed.add(this as CellView);
      return;
    }
    const { renderRoot, kept, only, fit } = this;
    if (only) this.pieceLabel = pieces.showOnly(renderRoot as ShadowRoot, only, fit);
    else pieces.dressPieces(renderRoot, kept, this.#keep);
  }

  readonly #keep = (piece: string): void => {
    ask(this, "bole-keep", { cell: this.cell.id, piece } satisfies KeepRequest);
  };

  /** The press of a box is no stop of the Tab key; this is its key. */
  readonly #keyed = (event: KeyboardEvent): void => {
    if (!event.altKey || event.code !== "KeyI") return;
    const active = this.shadowRoot?.activeElement;
    const piece = active ? pieces?.pieceOf(active) : undefined;
    if (!piece) return;
    event.preventDefault();
    this.#keep(piece);
  };
}
