import type { Mark, PatternName } from "./chartTypes.ts";
import { ownMark } from "./ownMark.ts";

/** The hatchings, in the order in which areas of one chart take them. */
export const patternNames: readonly PatternName[] = ["none", "rising", "falling", "dots", "level", "upright"];

/** Each hatching is drawn twice, light and dark side by side, so that it shows on any colour. */
const shapes: Record<Exclude<PatternName, "none">, { size: number; light: string; dark: string }> = {
  rising: {
    size: 10,
    light: "M-2,12L12,-2M-2,2L2,-2M8,12L12,8",
    dark: "M-3.2,12L10.8,-2M6.8,12L12,6.8M-2,.8L.8,-2",
  },
  falling: {
    size: 10,
    light: "M-2,-2L12,12M8,-2L12,2M-2,8L2,12",
    dark: "M-.8,-2L13.2,12M-2,6.8L3.2,12M9.2,-2L12,.8",
  },
  dots: { size: 10, light: "M2,3h2.4M7,8h2.4", dark: "M2,4.4h2.4M7,9.4h2.4" },
  level: { size: 9, light: "M0,3h9", dark: "M0,4.2h9" },
  upright: { size: 9, light: "M3,0v9", dark: "M4.2,0v9" },
};

/** Paint that fills an area with the hatching; the definition is added by `patternDefinitions`. */
export function patternFill(name: PatternName): string {
  return name === "none" ? "none" : `url(#bole-hatch-${name})`;
}

/** An invisible mark that puts the hatchings used into the chart. */
export function patternDefinitions(names: Iterable<PatternName>): Mark {
  const used = [...new Set(names)].filter((name) => name !== "none");
  return ownMark((element) =>
    element(
      "defs",
      {},
      used.map((name) => {
        const { size, light, dark } = shapes[name];
        const line = (d: string, stroke: string) =>
          element("path", { d, stroke, "stroke-width": name === "dots" ? 2 : 1.3, fill: "none" });
        return element(
          "pattern",
          { id: `bole-hatch-${name}`, patternUnits: "userSpaceOnUse", width: size, height: size },
          [line(dark, "rgb(0 0 0 / 55%)"), line(light, "rgb(255 255 255 / 75%)")],
        );
      }),
    ),
  );
}
