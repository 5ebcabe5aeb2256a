import type { NumberSpec } from "./parameters.ts";

/** A named number that a cell's result holds, so that others can ask for it without knowing the kind of cell. */
export interface Quantity {
  /** Stable name within the kind, such as "part-2-difference". */
  readonly name: string;
  /** In words, such as "ΔE00 of Corner bolsters". */
  readonly label: string;
  readonly unit: string;
  /** Undefined when there is none, such as the number of coats that never suffice. */
  readonly value: number | undefined;
  /** Decimals worth showing. */
  readonly digits: number;
  /** What it means that there is none, such as "never, within 10 coats". */
  readonly none?: string;
}

/** A numeric parameter of a cell, which others may ask to move. */
export interface Setting {
  readonly name: string;
  readonly spec: NumberSpec;
  readonly value: number;
}

/** What a port of type "any" receives: whatever the linked cell has to offer, whichever kind it is. */
export interface Offered {
  readonly cell: string;
  readonly title: string;
  readonly quantities: readonly Quantity[];
  readonly settings: readonly Setting[];
}
