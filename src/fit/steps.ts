/**
 * Ends a loop whose end no count holds: called once in each round.
 *
 * @param step rounds before this one   @param most rounds that it may take   @param what what goes on, for the message
 * @throws RangeError when it has taken more
 */
export function withinSteps(step: number, most: number, what: string): void {
  if (step < most) return;
  throw new RangeError(
    `${what} did not come to an end within ${most} steps: change back what was changed last, or undo it`,
  );
}
