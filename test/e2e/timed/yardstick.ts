/** What can run a piece of work in a page. */
interface Evaluating {
  evaluate(work: () => number): Promise<number>;
}

/** What the piece of work below takes on the machine for which the limits are set: there the demo's first cell comes after 0.33 s. */
const atHomeMs = 20;

/**
 * How many times slower this machine is now than the one for which the limits are set; never below 1. A fixed piece of
 * work of the kinds that a page does (reading text, sorting, elements laid out), the middle of three runs.
 *
 * @param page any page of the workbench; left as it was
 */
export async function slowness(page: Evaluating): Promise<number> {
  const ms = await page.evaluate(() => {
    const once = () => {
      const start = performance.now();
      const rows = Array.from({ length: 12_000 }, (_, i) => ({
        name: `row ${(i * 7919) % 12_000}`,
        size: i % 97,
      }));
      const read = JSON.parse(JSON.stringify(rows)) as typeof rows;
      read.sort((p, q) => (p.name < q.name ? -1 : 1));
      const host = document.createElement("div");
      for (const { name, size } of read.slice(0, 1500)) {
        const line = document.createElement("p");
        line.textContent = name;
        line.style.paddingInline = `${size}px`;
        host.append(line);
      }
      document.body.append(host);
      const height = host.offsetHeight;
      host.remove();
      return height > 0 ? performance.now() - start : 0;
    };
    return Array.from({ length: 3 }, once).sort((p, q) => p - q)[1];
  });
  return Math.max(1, ms / atHomeMs);
}
