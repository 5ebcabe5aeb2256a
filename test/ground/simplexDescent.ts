/**
 * Least value of a function by the simplex method of Nelder and Mead (1965), started again once where it
 * ended. Slow and without derivatives: an independent method for tests.
 */
export function simplexDescent(
  f: (x: number[]) => number,
  start: readonly number[],
  size: number,
  steps: number,
): { x: number[]; value: number } {
  let best = { x: [...start], value: f([...start]) };
  for (const scale of [size, size / 4]) {
    const n = start.length;
    let corners = Array.from({ length: n + 1 }, (_, k) => {
      const x = best.x.map((v, i) => (i === k - 1 ? (v + scale > 1 ? v - scale : v + scale) : v));
      return { x, value: f(x) };
    });
    for (let step = 0; step < steps; step++) {
      corners.sort((p, q) => p.value - q.value);
      const worst = corners[n];
      const centre = Array.from({ length: n }, (_, i) => {
        let sum = 0;
        for (let k = 0; k < n; k++) sum += corners[k].x[i];
        return sum / n;
      });
      const along = (t: number) => {
        const x = centre.map((c, i) => c + t * (worst.x[i] - c));
        return { x, value: f(x) };
      };
      const mirrored = along(-1);
      if (mirrored.value < corners[0].value) {
        const stretched = along(-2);
        corners[n] = stretched.value < mirrored.value ? stretched : mirrored;
      } else if (mirrored.value < corners[n - 1].value) {
        corners[n] = mirrored;
      } else {
        const drawn = along(mirrored.value < worst.value ? -0.5 : 0.5);
        if (drawn.value < Math.min(worst.value, mirrored.value)) corners[n] = drawn;
        else {
          const [first] = corners;
          corners = corners.map(({ x }, k) => {
            if (k === 0) return first;
            const nearer = x.map((v, i) => (v + first.x[i]) / 2);
            return { x: nearer, value: f(nearer) };
          });
        }
      }
    }
    corners.sort((p, q) => p.value - q.value);
    if (corners[0].value < best.value) best = corners[0];
  }
  return best;
}
