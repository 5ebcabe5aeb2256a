/** One way to correct a pot, in doses that can be measured out. */
export interface Additions {
  /** mL of each component to add, ≥ 0: whole steps of the balance, or whole drops. */
  readonly volumes: Float64Array;
  /** The same in steps or drops. */
  readonly steps: Float64Array;
  /** Pastes among them, by index. */
  readonly pastes: readonly number[];
  /** Components added, the binder included: so many times somebody pours. */
  readonly pours: number;
  /** Added volume over the volume in the pot. */
  readonly growth: number;
  /** Expected objective (greatest weighted ΔE00 over grounds and lights) and ΔE00 over each ground in each light. */
  readonly objective: number;
  readonly differences: readonly Float64Array[];
}
