import * as v from "valibot";
import { blendOf, blendShares, inParts } from "../../src/coating/blend.ts";
import type { Component } from "../../src/coating/component.ts";
import { percentText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { Basecoat } from "../../src/ports/basecoat.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import { amount, share } from "../../src/ports/quantities.ts";
import { measureText } from "../../src/units/units.ts";
import { plural } from "../../src/words/plural.ts";

/** The components of a set that may serve as base paints, base paints proper first. */
function basePaintsOf(set: PigmentSet): Component[] {
  const proper = set.components.filter((component) => component.role === "base paint");
  return proper.length > 0 ? proper : set.components.filter((component) => component.role !== "binder");
}

/** Base paints, then the pastes that may tint them. */
export function groundPaintsOf(set: PigmentSet, tints: PigmentSet | undefined): Component[] {
  const paints = basePaintsOf(set);
  const pastes = (tints?.components ?? []).filter(
    ({ id, role }) => role === "paste" && !paints.some((paint) => paint.id === id),
  );
  return [...paints, ...pastes];
}

export const basecoatBlend = defineCell({
  kind: "basecoat-blend",
  label: "Basecoat blend",
  about:
    "Two or three opaque base paints mixed by wet volume, laid under the colour. " +
    "Reds let light through: what lies under them makes or breaks the colour.",
  inputs: {
    paints: { type: "pigment-set", label: "Base paints" },
    tints: { type: "pigment-set", label: "Tinting pastes", optional: true },
  },
  output: "basecoat",
  tells: ["ground"],
  parameters: {
    paints: {
      type: "value",
      label: "Paints in the blend",
      help: "Two or three of the linked sets, by name. Empty: the first two.",
      schema: v.pipe(v.array(v.string()), v.maxLength(3, "two or three paints can be blended")),
      initial: [] as string[],
    },
    ratio: {
      type: "number",
      label: "Share of the second paint",
      help: "0: only the first paint. 1: only the second. By wet volume.",
      min: 0,
      max: 1,
      step: 0.01,
      digits: 3,
      initial: 0.5,
    },
    thirdShare: {
      type: "number",
      label: "Share of the third paint",
      help: "Of the whole blend, by wet volume; counts only with three paints.",
      min: 0,
      max: 1,
      step: 0.01,
      digits: 3,
      initial: 0,
    },
    coats: { type: "number", label: "Basecoats", whole: true, min: 0, max: 8, step: 1, initial: 2 },
    wetThickness: {
      type: "number",
      label: "Wet thickness of one basecoat",
      unit: "µm",
      min: 5,
      max: 150,
      step: 1,
      initial: 30,
    },
  },
  compute: ({ paints: set, tints }, p, { note, id }): Basecoat => {
    const available = groundPaintsOf(set, tints);
    const ids = p.paints.length > 0 ? p.paints : available.slice(0, 2).map((paint) => paint.id);
    if (p.paints.length === 0 && ids.length < 2) {
      throw new InputError(
        `${set.name} has ${plural(ids.length, "base paint")}: two are needed for a blend`,
        {
          toGive: true,
          field: "paints",
          wayOut: "Put a further base paint on the shelf; its colour as read will do",
        },
      );
    }
    if (ids.length < 2) {
      throw new InputError(`The blend has ${ids.length} paint: two or three are needed`, {
        field: "paints",
        wayOut: "Choose another base paint",
      });
    }
    if (new Set(ids).size < ids.length) {
      throw new InputError("The same paint is chosen twice", {
        field: "paints",
        wayOut: "Choose two different paints",
      });
    }
    const paints = ids.map((id) => {
      const paint = [...available, ...set.components].find((component) => component.id === id);
      if (!paint) {
        throw new InputError(`The set "${set.name}" has no paint "${id}"`, {
          field: "paints",
          wayOut: `It has: ${available.map((other) => other.name).join(", ")}`,
        });
      }
      return paint;
    });
    const shares = blendShares(p.ratio, p.thirdShare, paints.length);
    if (p.coats === 0) note("No basecoat is planned: the colour lies straight on the part");
    const blend = blendOf(paints, shares);
    return {
      cell: id,
      paints,
      available,
      shares,
      ratio: p.ratio,
      thirdShare: paints.length > 2 ? p.thirdShare : 0,
      ...blend,
      coats: p.coats,
      wetThickness: p.wetThickness,
      dryThickness: p.coats * p.wetThickness * blend.mix.volumeSolids,
    };
  },
  verdict: (value, _, units) => {
    const [first, second, third] = value.paints;
    const figure = inParts(value.ratio);
    const tint = third
      ? `, with ${percentText(value.thirdShare, value.thirdShare < 0.02 ? 1 : 0)} of ${third.name}`
      : "";
    const coats = plural(value.coats, "coat");
    return {
      text: `${first.name} and ${second.name}: ${figure}${tint} · ${coats}, ${measureText(value.dryThickness, "thickness", units)} dry`,
      figure,
    };
  },
  summarise: ({ paints, shares, dryThickness }) => ({
    paints: paints.map((paint, index) => ({ name: paint.name, share: shares[index] })),
    dryThickness,
  }),
  quantities: ({ paints, shares, ratio, coats, dryThickness, mix }) => [
    share("ratio", "share of the second paint in the first two", ratio),
    ...paints.map(({ id, name }, index) => share(`share-${id}`, `share of ${name}`, shares[index])),
    amount("coats", "basecoats", coats, "coats", 0),
    amount("dry-thickness", "dry thickness of all basecoats", dryThickness, "µm"),
    share("volume-solids", "volume solids of the blend", mix.volumeSolids),
  ],
});

export default basecoatBlend;
