import * as v from "valibot";

/** One piece of the program, as the body of a function of `require`, `module` and `exports`. */
const partSchema = v.strictObject({
  code: v.string(),
  /** Parts that it begins with. */
  needs: v.array(v.string()),
  /** Parts that it asks for later. */
  later: v.array(v.string()),
});

const kindSchema = v.strictObject({
  define: v.string(),
  view: v.string(),
  /** Whether its code can ask for long work. */
  long: v.boolean(),
});

const templateSchema = v.strictObject({
  format: v.literal("bole-handout"),
  /** The style sheet of the page. */
  styles: v.string(),
  parts: v.record(v.string(), partSchema),
  kinds: v.record(v.string(), kindSchema),
  /** The parts that the page and its worker begin with. */
  page: v.string(),
  worker: v.string(),
  /** What only long work asks for. */
  work: v.array(v.string()),
});

/** The program of saved pages, cut so that each page carries what its own cells need; made by the build. */
export type HandoutTemplate = v.InferOutput<typeof templateSchema>;

/** @throws Error when the file is of another version of the program, or no such file */
export function readTemplate(text: string): HandoutTemplate {
  let plain: unknown;
  try {
    plain = JSON.parse(text);
  } catch {
    plain = undefined;
  }
  const { success, output } = v.safeParse(templateSchema, plain);
  if (!success) throw new Error("The program for saved pages is of another version: build again");
  return output;
}

/** The names of the parts that a page of some kinds needs, each after those that it begins with where possible. */
export function partsFor(template: HandoutTemplate, kinds: readonly string[], withWork: boolean): string[] {
  const { parts, work } = template;
  const wanted = kinds.flatMap((kind) => {
    const of = Object.hasOwn(template.kinds, kind) ? template.kinds[kind] : undefined;
    return of ? [of.define, of.view] : [];
  });
  const ofKinds = new Set(Object.values(template.kinds).flatMap(({ define, view }) => [define, view]));
  const apart = new Set([...ofKinds, ...work]);
  const needed = new Set([template.page, ...wanted, ...(withWork ? [...work, template.worker] : [])]);
  for (const name of needed) {
    const { needs, later } = parts[name];
    for (const next of needs) needed.add(next);
    // Other kinds, and long work, only where they are wanted.
    for (const next of later) if (!apart.has(next)) needed.add(next);
  }
  return [...needed];
}
