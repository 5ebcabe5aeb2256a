import { leastOf } from "../fit/leastOf.ts";

/** Least point of a curve near the best of its samples. */
export function bestNear(at: (x: number) => number, xs: ArrayLike<number>, ys: ArrayLike<number>) {
  let k = 0;
  for (let i = 1; i < ys.length; i++) if (ys[i] < ys[k]) k = i;
  const ratio = leastOf(at, xs[Math.max(0, k - 1)], xs[Math.min(xs.length - 1, k + 1)]);
  return { ratio, difference: at(ratio) };
}

/** Ratios around the best between which the difference stays within `margin` of it, by bisection. */
export function flatRegion(
  at: (ratio: number) => number,
  best: { readonly ratio: number; readonly difference: number },
  margin: number,
): [number, number] {
  const limit = best.difference + margin;
  const edge = (to: number): number => {
    // March outwards first: the curve may rise and fall again beyond the flat region.
    const step = (to - best.ratio) / 40;
    let inside = best.ratio;
    for (let k = 1; k <= 40; k++) {
      const x = k === 40 ? to : best.ratio + k * step;
      if (at(x) <= limit) {
        inside = x;
        continue;
      }
      let outside = x;
      for (let n = 0; n < 20; n++) {
        const middle = (inside + outside) / 2;
        if (at(middle) <= limit) inside = middle;
        else outside = middle;
      }
      return inside;
    }
    return to;
  };
  return [edge(0), edge(1)];
}
