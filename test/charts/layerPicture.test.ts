import { test } from "vitest";
import { layPicture, pictureScale } from "../../src/charts/layerPicture.ts";
import { Drawn, pictureText } from "./drawn.ts";
import { expectPicture } from "./picture.ts";

test("a cross-section looks as it did (regression)", () => {
  const layers = [
    { label: "clear coat", dryThickness: 12, swallowed: 0.001, turned: 0.04 },
    { label: "colour", dryThickness: 22, swallowed: 0.35, turned: 0.2 },
    { label: "basecoat", dryThickness: 15, swallowed: 0.1, turned: 0.25 },
    { label: "grey leather", dryThickness: 0, swallowed: 0.05, turned: 0.009 },
  ];
  const laid = layPicture(layers, { scale: pictureScale([49]) });
  const element = (
    name: string,
    attributes: Record<string, string | number>,
    ...inside: (Drawn | string)[]
  ) => {
    const made = new Drawn(name, undefined);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  };
  const { width, height, edge, boxes, rays, labels, broken, bar } = laid;
  const picture = element(
    "svg",
    { viewBox: `0 0 ${width} ${height}`, width, height, "font-size": 15, "font-family": "sans-serif" },
    ...boxes.map((box) => element("rect", { ...box, width: edge, fill: "#dddddd", stroke: "#777777" })),
    ...rays.map(({ outline }) => element("path", { d: outline, fill: "#ffffff", stroke: "#000000" })),
    ...rays.map(({ flow }) => element("path", { d: flow, fill: "none", stroke: "#b5182c" })),
    ...labels.flatMap(({ lines, y }) =>
      lines.map((line, at) => element("text", { x: edge + 12, y: y + 19 * at }, line)),
    ),
    element("path", { d: broken, fill: "none", stroke: "#000000" }),
    ...(bar ? [element("path", { d: `M${bar.x},${bar.y}v${bar.length}`, stroke: "#000000" })] : []),
  );
  expectPicture("layerPicture", pictureText(picture, "layerPicture"));
});
