import * as v from "valibot";
import { askable, type NamedQuantity, quantityNamed, quantityText } from "../../src/graph/askedQuantity.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { Offered, Setting } from "../../src/graph/quantity.ts";
import { defineCell } from "../../src/ports/defineCell.ts";

/** One axis: a numeric parameter of some cell, and the range it is moved over. */
export interface Axis extends Setting {
  readonly cell: string;
  readonly title: string;
  readonly values: Float64Array;
}

/** A result against one setting, or over a map of two. */
export interface WhatIf {
  readonly result: NamedQuantity;
  readonly x: Axis;
  readonly y: Axis | undefined;
  /** Results, rows of x for each y; not-a-number where there is none or the setting is not possible. */
  readonly values: Float64Array;
  /** Everything that can be chosen. */
  readonly results: readonly NamedQuantity[];
  readonly settings: readonly Offered[];
  /** Why some points are missing, if any. */
  readonly missing: string | undefined;
}

const pinned = v.strictObject({
  label: v.pipe(v.string(), v.maxLength(200)),
  x: v.pipe(v.array(v.number()), v.maxLength(401)),
  y: v.pipe(v.array(v.nullable(v.number())), v.maxLength(401)),
});
type Pinned = v.InferOutput<typeof pinned>;

/** Work is cut into slices this long, so that the page stays alive between them. */
const sliceMs = 8;

export const whatIf = defineCell({
  kind: "what-if",
  label: "What if",
  about:
    "Any result against any setting of the notebook, as a curve, or against two settings as a map. " +
    "Nothing is changed until you press a point.",
  inputs: {
    results: { type: "any", label: "Result of", many: true },
    settings: { type: "any", label: "Settings of", many: true },
  },
  parameters: {
    result: { type: "text", label: "Result", initial: "", maxLength: 140 },
    x: { type: "text", label: "Against", initial: "", maxLength: 140 },
    y: { type: "text", label: "And against", initial: "", maxLength: 140 },
    from: { type: "value", label: "From", schema: v.nullable(v.number()), initial: null as number | null },
    to: { type: "value", label: "To", schema: v.nullable(v.number()), initial: null as number | null },
    yFrom: { type: "value", label: "From", schema: v.nullable(v.number()), initial: null as number | null },
    yTo: { type: "value", label: "To", schema: v.nullable(v.number()), initial: null as number | null },
    points: {
      type: "number",
      label: "Points of the curve",
      whole: true,
      min: 5,
      max: 201,
      step: 10,
      initial: 41,
    },
    mapPoints: {
      type: "number",
      label: "Points each way of the map",
      whole: true,
      min: 5,
      max: 41,
      step: 2,
      initial: 17,
    },
    pinned: {
      type: "value",
      label: "Curves kept for comparison",
      schema: v.pipe(v.array(pinned), v.maxLength(8)),
      initial: [] as Pinned[],
    },
  },
  compute: async ({ results, settings }, p, context): Promise<WhatIf> => {
    const all = askable(results);
    if (all.length === 0) {
      throw new InputError("The linked cells have no results to look at", {
        field: "results",
        wayOut: "Link a coverage cell under “Result of”",
      });
    }
    const result = p.result ? quantityNamed(results, p.result, "result") : all[0];
    const owner = ownerOf(results, result.reference);
    const x = axisOf(settings, p.x, "x", p.from, p.to, p.y ? p.mapPoints : p.points);
    const y = p.y ? axisOf(settings, p.y, "y", p.yFrom, p.yTo, p.mapPoints) : undefined;
    if (y && y.cell === x.cell && y.name === x.name) {
      throw new InputError("Both axes show the same setting", {
        field: "y",
        wayOut: "Choose another, or none",
      });
    }
    const rows = y ? y.values : [Number.NaN];
    const values = new Float64Array(x.values.length * rows.length).fill(Number.NaN);
    let missing: string | undefined;
    let index = 0;
    let sliceEnd = clock() + sliceMs;
    for (const second of rows) {
      for (const first of x.values) {
        context.signal.throwIfAborted();
        const changes: Record<string, Record<string, number>> = { [x.cell]: { [x.name]: first } };
        if (y) changes[y.cell] = { ...changes[y.cell], [y.name]: second };
        try {
          const offered = context.evaluate(changes, owner);
          const found = offered.quantities.find(({ name }) => name === result.name);
          values[index] = found?.value ?? Number.NaN;
          if (found?.value === undefined) missing ??= found?.none;
        } catch (error) {
          if (!(error instanceof InputError || error instanceof RangeError)) throw error;
          missing ??= error.message;
        }
        index++;
        if (clock() > sliceEnd) {
          context.progress(index / values.length, "looking at every point");
          await new Promise((resolve) => setTimeout(resolve));
          sliceEnd = clock() + sliceMs;
        }
      }
    }
    if (missing) context.note(`Some points have no result: ${missing}`);
    return { result, x, y, values, results: all, settings, missing };
  },
  verdict: ({ result, x, y, values }) => {
    const best = values.reduce(
      (least, v, i) => (Number.isFinite(v) && (least < 0 || v < values[least]) ? i : least),
      -1,
    );
    if (best < 0) return { text: "There is no such result anywhere in this range." };
    const at = ({ spec: { label, unit } }: Axis, number: number) =>
      `${label.toLowerCase()} ${Number(number.toPrecision(3))}${unit ? ` ${unit}` : ""}`;
    const figure = quantityText({ ...result, value: values[best] });
    const columns = x.values.length;
    const also = y ? ` and ${at(y, y.values[Math.floor(best / columns)])}` : "";
    return {
      text: `Least ${result.label}: ${figure} at ${at(x, x.values[best % columns])}${also}; now ${quantityText(result)}.`,
      figure,
    };
  },
  summarise: ({ result, x, y, values }) => ({
    result: result.label,
    against: `${x.title}: ${x.spec.label}`,
    and: y && `${y.title}: ${y.spec.label}`,
    x: [...x.values],
    y: y && [...y.values],
    values: [...values].map((value) => (Number.isFinite(value) ? value : null)),
  }),
});

export default whatIf;

const clock = () => globalThis.performance.now();

function ownerOf(results: readonly Offered[], reference: string): string {
  return results.length > 1 ? reference.slice(0, reference.indexOf(":")) : results[0].cell;
}

function axisOf(
  offered: readonly Offered[],
  reference: string,
  field: "x" | "y",
  from: number | null,
  to: number | null,
  points: number,
): Axis {
  const all = offered.flatMap(({ cell, title, settings }) =>
    settings.map((setting) => ({ ...setting, cell, title })),
  );
  if (all.length === 0) {
    throw new InputError("The linked cells have no numbers to move", {
      field: "settings",
      wayOut: "Link a basecoat blend or a coat plan under “Settings of”",
    });
  }
  const chosen = reference
    ? all.find(({ cell, name }) => `${cell}:${name}` === reference)
    : (all.find(({ name }) => name === "ratio") ?? all[0]);
  if (!chosen) {
    throw new InputError(`There is no setting "${reference}" in the linked cells`, {
      field,
      wayOut: `Choose one of ${all.map(({ title, spec }) => `${title}: ${spec.label}`).join(", ")}`,
    });
  }
  const { spec, value } = chosen;
  const low = from ?? Math.max(spec.min, spec.max > 20 * Math.abs(value) && value > 0 ? value / 3 : spec.min);
  const high = to ?? Math.min(spec.max, spec.max > 20 * Math.abs(value) && value > 0 ? value * 3 : spec.max);
  if (!(low >= spec.min && high <= spec.max && low < high)) {
    throw new InputError(
      `${spec.label} cannot go from ${low} to ${high}: ${spec.min} to ${spec.max} is allowed`,
      {
        field: field === "x" ? "from" : "yFrom",
        wayOut: "Widen or mend the range",
      },
    );
  }
  const whole = spec.whole ? Math.min(points, Math.floor(high - low) + 1) : points;
  const values = spec.whole
    ? Float64Array.from(
        new Set(
          Array.from({ length: whole }, (_, k) =>
            Math.round(low + ((high - low) * k) / Math.max(1, whole - 1)),
          ),
        ),
      )
    : Float64Array.from({ length: points }, (_, k) => low + ((high - low) * k) / (points - 1));
  return { ...chosen, values };
}
