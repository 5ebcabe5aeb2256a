/**
 * Where a key moves a value on an axis, as a native slider does: a step, ten steps, or an end.
 * @returns undefined for any other key
 */
export function keyedValue(
  key: string,
  now: number,
  { from, to, step }: { readonly from: number; readonly to: number; readonly step: number },
): number | undefined {
  return {
    ArrowRight: now + step,
    ArrowUp: now + step,
    ArrowLeft: now - step,
    ArrowDown: now - step,
    PageUp: now + 10 * step,
    PageDown: now - 10 * step,
    Home: from,
    End: to,
  }[key];
}
