/** Which sign stands before the decimals. */
export type DecimalMark = "comma" | "point";

/** What the numbers of a table say of their marks. */
export interface NumberMarks {
  readonly decimal: DecimalMark;
  /** whether some numbers have a mark between their thousands */
  readonly thousands: boolean;
  /** a number that could be meant both ways, where nothing in the table tells */
  readonly open: string | undefined;
}

// Bounded by the length of a cell that holds a number; longer ones are looked at no further.
const longest = 40;
const grouped = { comma: /^[+-]?[1-9]\d{0,2}(?:,\d{3})+$/, point: /^[+-]?[1-9]\d{0,2}(?:\.\d{3})+$/ };
const plain = {
  comma: /^[+-]?(?:\d+,\d*|,\d+)(?:[eE][+-]?\d{1,3})?$/,
  point: /^[+-]?(?:\d+\.\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$/,
};
const both = {
  comma: /^[+-]?\d{1,3}(?:\.\d{3})+,\d+$/,
  point: /^[+-]?\d{1,3}(?:,\d{3})+\.\d+$/,
};
/** Blanks, thin blanks and apostrophes stand between thousands only. */
const apart = /^[+-]?\d{1,3}(?:[ \u00a0\u2009\u202f'’]\d{3})+(?:[.,]\d+)?$/;

/** A cell with plain minus and without marks between thousands that mean nothing else; as it was for anything but a number. */
export function bareNumber(cell: string): string {
  if (cell.length > longest) return cell;
  const minus = cell.replace(/^[−–]/, "-");
  return apart.test(minus) ? minus.replace(/[ \u00a0\u2009\u202f'’]/g, "") : minus;
}

/**
 * How the numbers of a table are marked: `1,234.5` and `0,153` tell by themselves, `1,234` does not. A wavelength tells,
 * because only one of 400 and 400,000 nm is one.
 *
 * @param cells those that hold numbers   @param axis wavelengths among them, again
 * @param answered what a person said of the decimal mark
 * @returns undefined where two numbers contradict each other
 */
export function marksOf(
  cells: Iterable<string>,
  axis: Iterable<string>,
  isWavelength: (value: number) => boolean,
  answered?: DecimalMark,
): NumberMarks | undefined {
  const seen = { comma: false, point: false };
  const groups = { comma: false, point: false };
  const open: Record<DecimalMark, string> = { comma: "", point: "" };
  let blanks = false;
  const look = (raw: string): void => {
    const cell = bareNumber(raw);
    if (cell.length !== raw.length) blanks = true;
    for (const mark of marks) {
      const other = otherOf[mark];
      if (both[mark].test(cell)) {
        seen[mark] = true;
        groups[other] = true;
      } else if (grouped[mark].test(cell)) {
        if (cell.split(signOf[mark]).length > 2) groups[mark] = true;
        else open[mark] ||= cell;
      } else if (plain[mark].test(cell)) seen[mark] = true;
    }
  };
  for (const cell of cells) if (cell.length <= longest) look(cell);
  for (const raw of axis) {
    const cell = bareNumber(raw);
    for (const mark of marks) {
      if (!grouped[mark].test(cell)) continue;
      const value = Number(cell.replaceAll(signOf[mark], ""));
      if (isWavelength(value)) groups[mark] = true;
      else if (isWavelength(value / 1000)) seen[mark] = true;
    }
  }
  if (answered) seen[answered] = true;
  const decimal = decidedBy(seen, groups);
  if (decimal === "both") return undefined;
  if (decimal)
    return {
      decimal,
      thousands: blanks || groups[otherOf[decimal]] || open[otherOf[decimal]] !== "",
      open: undefined,
    };
  return {
    decimal: open.comma && !open.point ? "comma" : "point",
    thousands: blanks,
    open: open.comma || undefined,
  };
}

const marks = ["comma", "point"] as const;
const otherOf = { comma: "point", point: "comma" } as const;
const signOf = { comma: ",", point: "." } as const;

/** The decimal mark, where the numbers tell; "both" where they contradict each other. */
function decidedBy(
  seen: Record<DecimalMark, boolean>,
  groups: Record<DecimalMark, boolean>,
): DecimalMark | "both" | undefined {
  const comma = seen.comma || groups.point;
  const point = seen.point || groups.comma;
  if (comma && point) return "both";
  return comma ? "comma" : point ? "point" : undefined;
}

/** A number with a decimal point and nothing between its thousands; any other cell as it was. */
export function plainNumber(raw: string, decimal: DecimalMark): string {
  const cell = bareNumber(raw);
  const other = otherOf[decimal];
  if (both[decimal].test(cell) || grouped[other].test(cell)) {
    return cell.replaceAll(signOf[other], "").replace(",", ".");
  }
  if (decimal === "comma" && plain.comma.test(cell)) return cell.replace(",", ".");
  return plain.point.test(cell) || /^[+-]?\d+$/.test(cell) ? cell : raw;
}
