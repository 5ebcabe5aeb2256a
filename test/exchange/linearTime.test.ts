import { describe, expect, test } from "vitest";
import { thorough } from "../howMuch.ts";
import { type HostileShape, hostileShapes, readers } from "./hostileShapes.ts";

// identity: twice the text takes a linear reader twice the time. Time is the processor's own, so that other work on the
// machine is not counted; what takes less than the floor is quick enough, and only noise would be compared.
const MB = 1_000_000;
const floor = 250;
const most = 2.5;

function milliseconds(read: (text: string) => unknown, text: string): number {
  const before = process.cpuUsage();
  try {
    read(text);
  } catch {
    // Refused in words or read: here only the time counts.
  }
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}

/** What is wrong with the time a reader takes for a shape; undefined when nothing is. */
function trouble({ reader, name, make }: HostileShape): string | undefined {
  const read = readers[reader];
  // A reader that runs away would take minutes for the whole: a tenth of it tells.
  const tenth = milliseconds(read, make(MB / 10));
  if (tenth > 4 * floor && milliseconds(read, make(MB / 10)) > 4 * floor) {
    return `${reader}, ${name}: ${tenth.toFixed(0)} ms for 0.1 MB`;
  }
  const texts = [make(MB), make(2 * MB)];
  const best = [Number.POSITIVE_INFINITY, milliseconds(read, texts[1])];
  for (let round = 0; round < 8; round++) {
    if (best[1] < floor || best[1] <= most * best[0]) return undefined;
    best[0] = Math.min(best[0], milliseconds(read, texts[0]));
    best[1] = Math.min(best[1], milliseconds(read, texts[1]));
  }
  return `${reader}, ${name}: ${best[0].toFixed(0)} ms for 1 MB, ${best[1].toFixed(0)} ms for 2 MB`;
}

/** Shapes that once took time with the square of their length: tried in every run. */
const once = [
  "digits as a cell of a column",
  "digits as a reading of a film",
  "commas and semicolons as a comment on films",
  "digits as a word of CGATS",
  "digits as readings in CxF",
  "an angle and blanks as a geometry in CxF",
  "an angle and blanks as a quoted word of CGATS",
  "many fields in many tables",
  "many colours of one name",
];

describe("every reader takes time in proportion to the text", () => {
  test("shapes are tried for every reader", () => {
    const tried = new Set(hostileShapes.map(({ reader }) => reader));
    expect([...tried].sort()).toEqual(Object.keys(readers).sort());
    for (const name of once) expect(hostileShapes.map((shape) => shape.name)).toContain(name);
  });

  test.each(Object.keys(readers))("%s", { timeout: 600_000 }, (reader) => {
    const own = hostileShapes.filter((shape) => shape.reader === reader);
    const chosen = own.filter(({ name }, i) => thorough || once.includes(name) || i % 40 === 0);
    expect(chosen.flatMap((shape) => trouble(shape) ?? [])).toEqual([]);
  });
});
