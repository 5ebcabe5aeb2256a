/**
 * The one door to drawing beside Plot's marks: its documented custom mark, a function that is handed the scales and
 * returns an element. For what Plot has no mark for: definitions of hatchings, and a field of values over a triangle.
 * No undocumented field of Plot is touched, here or elsewhere.
 */
import type { RenderFunction } from "@observablehq/plot";
import type { Mark } from "./chartTypes.ts";

const svgNamespace = "http://www.w3.org/2000/svg";

/** Makes an element of a picture. */
type Element = (
  name: string,
  attributes: Record<string, string | number>,
  children?: readonly SVGElement[],
) => SVGElement;

/** A mark of our own. `x` and `y` turn values into px. */
export function ownMark(
  draw: (element: Element, x: (value: number) => number, y: (value: number) => number) => SVGElement,
): Mark {
  const render: RenderFunction = (_index, { x, y }, _values, _dimensions, { document: page }) =>
    draw(
      (name, attributes, children = []) => {
        const element = page.createElementNS(svgNamespace, name) as SVGElement;
        for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, `${value}`);
        element.append(...children);
        return element;
      },
      x as (value: number) => number,
      y as (value: number) => number,
    );
  return render;
}
