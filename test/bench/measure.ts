/** Median of timed runs after a warm-up, ms. */
export async function medianMs(runs: number, run: (k: number) => void | Promise<void>): Promise<number> {
  for (let k = 0; k < Math.ceil(runs / 4); k++) await run(k);
  const times: number[] = [];
  for (let k = 0; k < runs; k++) {
    const start = performance.now();
    await run(k);
    times.push(performance.now() - start);
  }
  times.sort((a, b) => a - b);
  return times[Math.floor(times.length / 2)];
}

/** One line of the report: ours beside a plain baseline of the same work in the same run. */
export function line(what: string, ours: number, plain: number, unit: string): void {
  const text = (value: number) => (value >= 100 ? value.toFixed(0) : value.toPrecision(3));
  const ratio = unit.endsWith("/s") ? ours / plain : plain / ours;
  console.log(
    `${what.padEnd(62)} ${text(ours).padStart(9)} ${unit}   plain ${text(plain).padStart(9)} ${unit}   ratio ${ratio.toFixed(1)}`,
  );
}
