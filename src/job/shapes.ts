import { aboveZero } from "../colour/checks.ts";

/** Shapes whose painted area is easily measured with a tape; lengths in m. */
type PartShape = "rectangle" | "disc" | "cushion" | "roll";

interface ShapeSides {
  /** m; for a disc and a roll: the diameter */
  width: number;
  /** m */
  length: number;
  /** m; the side of a cushion, not used otherwise */
  height: number;
}

/**
 * Painted area of a common shape.
 *
 * rectangle: one face. disc: one face. cushion: the top and its four sides, not the underside.
 * roll: the mantle of a cylinder, without its ends.
 *
 * @returns m²
 * @throws RangeError for a length that is needed and not above 0
 * Source: plane and solid geometry.
 */
export function shapeArea(shape: PartShape, { width, length, height }: ShapeSides): number {
  aboveZero(shape === "disc" || shape === "roll" ? "diameter" : "width", width, "m");
  if (shape === "disc") return (Math.PI * width ** 2) / 4;
  aboveZero("length", length, "m");
  if (shape === "rectangle") return width * length;
  if (shape === "roll") return Math.PI * width * length;
  aboveZero("height", height, "m");
  return width * length + 2 * (width + length) * height;
}
