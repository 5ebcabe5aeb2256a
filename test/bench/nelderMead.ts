/**
 * The downhill simplex method, plain: a slow way to a minimum that needs no derivatives.
 *
 * @param start where to begin   @param size of the first simplex along each axis
 * @returns the best point, its height and how often f was asked
 * Source: Nelder, Mead 1965, with the usual coefficients 1, 2, ½, ½.
 */
export function nelderMead(
  f: (x: Float64Array) => number,
  start: Float64Array,
  size: Float64Array,
  tolerance = 1e-6,
  maxCalls = 2000,
): { x: Float64Array; value: number; calls: number } {
  const n = start.length;
  let calls = 0;
  const ask = (x: Float64Array) => {
    calls++;
    return { x, value: f(x) };
  };
  const corners = [ask(start.slice())];
  for (let i = 0; i < n; i++) {
    const x = start.slice();
    x[i] += size[i];
    corners.push(ask(x));
  }
  const middle = new Float64Array(n);
  const along = (share: number) => ask(middle.map((m, i) => m + share * (corners[n].x[i] - m)));
  for (;;) {
    corners.sort((p, q) => p.value - q.value);
    if (corners[n].value - corners[0].value < tolerance || calls >= maxCalls) break;
    middle.fill(0);
    for (let c = 0; c < n; c++) for (let i = 0; i < n; i++) middle[i] += corners[c].x[i] / n;
    const mirrored = along(-1);
    if (mirrored.value < corners[0].value) {
      const further = along(-2);
      corners[n] = further.value < mirrored.value ? further : mirrored;
    } else if (mirrored.value < corners[n - 1].value) corners[n] = mirrored;
    else {
      const nearer = mirrored.value < corners[n].value ? along(-0.5) : along(0.5);
      if (nearer.value < Math.min(mirrored.value, corners[n].value)) corners[n] = nearer;
      else {
        for (let c = 1; c <= n; c++) {
          corners[c] = ask(corners[c].x.map((v, i) => corners[0].x[i] + 0.5 * (v - corners[0].x[i])));
        }
      }
    }
  }
  return { ...corners[0], calls };
}
