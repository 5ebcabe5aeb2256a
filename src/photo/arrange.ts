import type { KeptCircle } from "./keptPhoto.ts";

type Role = KeptCircle["role"];

const words: Record<Role, string> = { card: "Grey card", patch: "Patch", part: "Part" };
const marks: Record<Role, string> = { card: "G", patch: "", part: "P" };

interface Size {
  readonly width: number;
  readonly height: number;
}

/** A free id, and a name that says how many there are. */
function named(role: Role, circles: readonly KeptCircle[]): { id: string; label: string } {
  const used = new Set(circles.map(({ id }) => id));
  let number = circles.filter((circle) => circle.role === role).length + 1;
  for (const more = number + used.size; number < more && used.has(`${role}-${number}`); number++);
  return { id: `${role}-${number}`, label: `${words[role]} ${number}` };
}

/** One or two signs for a circle on the picture. */
export function markOf({ role }: KeptCircle, place: number): string {
  return `${marks[role]}${place}`;
}

/** Its place among the circles of its kind, counted from 1. */
export function placeOf(circle: KeptCircle, circles: readonly KeptCircle[]): number {
  return circles.filter(({ role }) => role === circle.role).indexOf(circle) + 1;
}

/** The usual size of a circle: large enough for a steady mean, small enough for a card. */
function usualRadius({ width, height }: Size): number {
  return Math.max(6, Math.round(Math.min(width, height) * 0.05));
}

/** A picture that has just come: a circle for the card and one for the part, to be dragged to their places. */
export function firstCircles({ width, height }: Size): KeptCircle[] {
  const radius = usualRadius({ width, height });
  const card = { role: "card" as const, x: Math.round(width * 0.25), y: Math.round(height / 2) };
  const part = { role: "part" as const, x: Math.round(width * 0.7), y: Math.round(height / 2) };
  return [card, part].map((circle) => ({ ...circle, ...named(circle.role, []), radius, sample: null }));
}

/** One more circle of a kind, beside the last of that kind. */
export function addedCircle(role: Role, circles: readonly KeptCircle[], size: Size): KeptCircle {
  const last = circles.filter((circle) => circle.role === role).at(-1);
  const radius = last?.radius ?? usualRadius(size);
  const x = (last?.x ?? size.width / 2) + (last ? 2.4 * radius : 0);
  const placed = {
    ...named(role, circles),
    role,
    x: x + radius <= size.width ? x : Math.max(radius, (last?.x ?? size.width / 2) - 2.4 * radius),
    y: last?.y ?? size.height / 2,
    radius,
    sample: null,
  };
  return within(placed, size);
}

/** Patches of a chart with their known colours, laid out in rows over the middle of the picture. */
export function chartCircles(
  patches: readonly { readonly label: string; readonly Lab: readonly [number, number, number] }[],
  columns: number,
  circles: readonly KeptCircle[],
  size: Size,
): KeptCircle[] {
  const rows = Math.ceil(patches.length / columns);
  const pitch = Math.min((0.7 * size.width) / columns, (0.7 * size.height) / rows);
  const radius = Math.max(4, Math.round(pitch * 0.28));
  const left = (size.width - pitch * (columns - 1)) / 2;
  const top = (size.height - pitch * (rows - 1)) / 2;
  const others = [...circles];
  return patches.map(({ label, Lab }, i) => {
    const circle: KeptCircle = {
      ...named("patch", others),
      ...(label ? { label: label.slice(0, 100) } : {}),
      role: "patch",
      x: Math.round(left + pitch * (i % columns)),
      y: Math.round(top + pitch * Math.floor(i / columns)),
      radius,
      Lab: [Lab[0], Lab[1], Lab[2]],
      sample: null,
    };
    others.push(circle);
    return within(circle, size);
  });
}

/** Columns of a chart of so many patches: as many as make its rows full and its shape wider than high. */
export function usualColumns(count: number): number {
  for (let rows = Math.floor(Math.sqrt(count)); rows > 1; rows--) {
    if (count % rows === 0) return count / rows;
  }
  return Math.max(1, Math.min(count, 6));
}

/**
 * The patches brought onto a grid between the four at its corners, which the person has laid in place; a chart seen at
 * a slant is a grid all the same.
 *
 * @returns undefined when the patches do not fill a grid of that many columns, at least 2 × 2
 */
export function linedUp(circles: readonly KeptCircle[], columns: number): KeptCircle[] | undefined {
  const patches = circles.filter(({ role }) => role === "patch");
  const rows = patches.length / columns;
  if (!Number.isInteger(rows) || rows < 2 || columns < 2) return undefined;
  const corner = (row: number, column: number) => patches[row * columns + column];
  const corners = [
    corner(0, 0),
    corner(0, columns - 1),
    corner(rows - 1, 0),
    corner(rows - 1, columns - 1),
  ] as const;
  const between = (get: (circle: KeptCircle) => number, u: number, v: number) =>
    (1 - v) * ((1 - u) * get(corners[0]) + u * get(corners[1])) +
    v * ((1 - u) * get(corners[2]) + u * get(corners[3]));
  let at = 0;
  return circles.map((circle) => {
    if (circle.role !== "patch") return circle;
    const u = (at % columns) / (columns - 1);
    const v = Math.floor(at / columns) / (rows - 1);
    at++;
    const place = (get: (one: KeptCircle) => number) => Math.round(10 * between(get, u, v)) / 10;
    return {
      ...circle,
      x: place(({ x }) => x),
      y: place(({ y }) => y),
      radius: place(({ radius }) => radius),
      sample: null,
    };
  });
}

/** Circles for another picture, where they stood in the one before. */
export function movedTo(circles: readonly KeptCircle[], from: Size, to: Size): KeptCircle[] {
  const scale = Math.min(to.width / from.width, to.height / from.height);
  return circles.map((circle) =>
    within(
      {
        ...circle,
        x: (circle.x * to.width) / from.width,
        y: (circle.y * to.height) / from.height,
        radius: Math.max(4, circle.radius * scale),
        sample: null,
      },
      to,
    ),
  );
}

/** The same circle, whole inside the picture. */
function within(circle: KeptCircle, { width, height }: Size): KeptCircle {
  const radius = Math.min(circle.radius, width / 2, height / 2);
  const inside = (value: number, size: number) => Math.min(Math.max(value, radius), size - radius);
  return { ...circle, radius, x: inside(circle.x, width), y: inside(circle.y, height) };
}
