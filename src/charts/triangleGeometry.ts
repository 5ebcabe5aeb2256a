/** A place in the picture of a triangle of side 1: first corner at 0, 0, second at 1, 0, third above them. */
export interface TrianglePlace {
  readonly x: number;
  readonly y: number;
}

export const triangleHeight = Math.sqrt(3) / 2;

/** Where a blend lies. */
export function trianglePlace(second: number, third: number): TrianglePlace {
  return { x: second + third / 2, y: third * triangleHeight };
}

/** The blend at a place; a place outside gives the blend nearest to it on an edge or corner. */
export function triangleShares({ x, y }: TrianglePlace): { first: number; second: number; third: number } {
  const third = y / triangleHeight;
  const shares = [1 - x - third / 2, x - third / 2, third].map((share) => Math.max(0, share));
  const sum = shares[0] + shares[1] + shares[2];
  return { first: shares[0] / sum, second: shares[1] / sum, third: shares[2] / sum };
}

/** A corner of a piece, px, with its value. */
export interface Corner {
  readonly x: number;
  readonly y: number;
  readonly v: number;
}

/** The part of a convex piece where the value, linear between corners, is on one side of a level. */
export function clipAt(piece: readonly Corner[], level: number, keep: "below" | "above"): Corner[] {
  const sign = keep === "below" ? 1 : -1;
  const inside = ({ v }: Corner) => sign * v <= sign * level;
  const out: Corner[] = [];
  for (let i = 0; i < piece.length; i++) {
    const [a, b] = [piece[i], piece[(i + 1) % piece.length]];
    if (inside(a)) out.push(a);
    if (inside(a) !== inside(b)) out.push(crossing(a, b, level));
  }
  return out.length < 3 ? [] : out;
}

/** Where a level crosses a triangle, if it does. */
export function levelLine(piece: readonly Corner[], level: number): [Corner, Corner] | undefined {
  const ends: Corner[] = [];
  for (let i = 0; i < piece.length; i++) {
    const [a, b] = [piece[i], piece[(i + 1) % piece.length]];
    if (a.v <= level !== b.v <= level) ends.push(crossing(a, b, level));
  }
  return ends.length === 2 ? [ends[0], ends[1]] : undefined;
}

function crossing(a: Corner, b: Corner, level: number): Corner {
  const t = (level - a.v) / (b.v - a.v);
  return { x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y), v: level };
}

/** The small triangles between the points of a triangle of so many steps, as indices; points row by row of the third share. */
export function smallTriangles(steps: number): [number, number, number][] {
  const first = (row: number) => row * (steps + 1) - (row * (row - 1)) / 2;
  const triangles: [number, number, number][] = [];
  for (let row = 0; row < steps; row++) {
    for (let at = 0; at < steps - row; at++) {
      const [p, up] = [first(row) + at, first(row + 1) + at];
      triangles.push([p, p + 1, up]);
      if (at < steps - row - 1) triangles.push([p + 1, up + 1, up]);
    }
  }
  return triangles;
}
