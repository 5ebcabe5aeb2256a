import { SpectrumFileError } from "./spectrumFileError.ts";
import { wavelengthOf } from "./spectrumFileForms.ts";
import { type CellRow, numberOf } from "./spectrumFileText.ts";

/** What the comment lines tell of the paste. */
export interface DrawdownSettings {
  paste?: string;
  /** g/mL */
  density?: number;
  /** 0…1 */
  volumeSolids?: number;
  colourIndex?: string;
}

/** Limits of a file that is read. */
export const drawdownFileLimits = {
  characters: 10 * 1024 * 1024,
  rows: 500,
  components: 12,
  reading: { least: -0.05, most: 1.3 },
  thickness: { least: 0.01, most: 10_000 },
  /** L* at most, a* and b* either way */
  lightness: 100,
  axis: 128,
  name: 200,
} as const;

const thicknessColumns = { dry_um: "dry", wet_um: "wet", gap_um: "gap", amount: "amount" } as const;
/** Which column holds what. */
export interface DrawdownColumns {
  header: string[];
  /** column of a known heading, or −1 */
  place: Record<"label" | "ground" | "specular" | "basis" | "error_percent", number>;
  thickness: { basis: "dry" | "wet" | "gap" | "amount"; column: number; heading: string }[];
  /** paste first; column −1 = no such column */
  amounts: { name: string; column: number; unit?: "mass" | "volume" }[];
  wavelengths: { nm: number; column: number }[];
  /** columns of L*, a*, b*, when all three are there */
  Lab?: readonly [number, number, number];
}

/** Reads the comment lines. @throws SpectrumFileError */
export function settingsOf(text: string, fileName: string): DrawdownSettings {
  const settings: DrawdownSettings = {};
  text.split(/\r\n?|\n/).forEach((line, index) => {
    const [key, value] = settingOf(line);
    if (value === "") return;
    const amount = (least: number, most: number, unit: string): number => {
      const number = numberOf(value.replace(",", "."));
      if (number === undefined || number < least || number > most) {
        const problem = `${key} is "${value}", but has to be a number from ${least} to ${most}${unit}`;
        throw new SpectrumFileError(fileName, problem, "Correct the line", index + 1);
      }
      return number;
    };
    const name = key.toLowerCase();
    if (name === "paste") settings.paste = value.slice(0, 200);
    else if (name === "colour index") settings.colourIndex = value.slice(0, 60);
    else if (name === "paste density") settings.density = amount(0.5, 6, " g/mL");
    else if (name === "paste volume solids") settings.volumeSolids = amount(0.01, 1, "");
  });
  return settings;
}

/** Key and value of a line "# key: value"; no value for any other line, or where only separators follow. */
function settingOf(line: string): [key: string, value: string] {
  const start = line.trimStart();
  const colon = start.indexOf(":");
  if (!start.startsWith("#") || colon < 0) return ["", ""];
  let end = start.length;
  // Tables saved by other programs end comments with the separators of the empty cells beside them.
  for (; end > colon + 1; end--) {
    const sign = start[end - 1];
    if (sign !== "," && sign !== ";" && sign !== " " && sign.trim() !== "") break;
  }
  return [start.slice(1, colon).trim(), start.slice(colon + 1, end).trimStart()];
}

/** The name in a heading such as "paste (g)" or "white, mL", and what its unit says. */
function withoutUnit(name: string): { name: string; unit?: "mass" | "volume" } {
  const found = /^(.{1,200}?)(?:, ?| ?[([])(g|grams?|mL|millilit(?:re|er)s?)[)\]]?$/i.exec(
    name.slice(0, 260),
  );
  if (!found) return { name };
  return { name: found[1].trim(), unit: /^g/i.test(found[2]) ? "mass" : "volume" };
}

/** Reads the heading. @throws SpectrumFileError */
export function columnsOf({ row, cells: header }: CellRow, fileName: string): DrawdownColumns {
  const fault = (problem: string, wayOut: string, field?: string) =>
    new SpectrumFileError(fileName, problem, wayOut, row, field);
  const columns: DrawdownColumns = {
    header,
    place: { label: -1, ground: -1, specular: -1, basis: -1, error_percent: -1 },
    thickness: [],
    amounts: [{ name: "paste", column: -1 }],
    wavelengths: [],
  };
  const seen = new Set<string>();
  const Lab = { L: -1, a: -1, b: -1 };
  header.forEach((heading, column) => {
    const name = heading.toLowerCase();
    const nm = wavelengthOf(heading);
    const key = nm === undefined ? name : `${nm} nm`;
    if (seen.has(key)) throw fault(`the column "${heading}" appears twice`, "Keep one of the two", heading);
    seen.add(key);
    if (nm !== undefined) columns.wavelengths.push({ nm, column });
    else if (Object.hasOwn(columns.place, name))
      columns.place[name as keyof DrawdownColumns["place"]] = column;
    else if (Object.hasOwn(thicknessColumns, name)) {
      const basis = thicknessColumns[name as keyof typeof thicknessColumns];
      columns.thickness.push({ basis, column, heading });
    } else if (name.startsWith("amount of ")) {
      const { name: component, unit } = withoutUnit(heading.slice("amount of ".length).trim());
      if (component === "" || component.length > drawdownFileLimits.name) {
        const range = `1 to ${drawdownFileLimits.name} signs`;
        throw fault(`the name of a component has ${component.length} signs`, `Use ${range}`, heading);
      }
      if (component.toLowerCase() === "paste") columns.amounts[0] = { name: "paste", column, unit };
      else columns.amounts.push({ name: component, column, unit });
    } else if (/^(?:L|a|b)\*?$/.test(heading)) Lab[heading[0] as keyof typeof Lab] = column;
    else {
      throw fault(
        `the column "${heading}" is not known`,
        "Known are label, ground, specular, basis, amount of paste, amount of NAME, dry_um, wet_um, gap_um, amount, error_percent, wavelengths in nm, and L*, a*, b*; start lines of other text with #",
        heading,
      );
    }
  });
  if (Object.values(Lab).every((column) => column >= 0)) columns.Lab = [Lab.L, Lab.a, Lab.b];
  else if (Object.values(Lab).some((column) => column >= 0)) {
    throw fault("a colour needs all of L*, a* and b*", "Add the columns that are missing");
  }
  if (columns.wavelengths.length === 0 && !columns.Lab) {
    throw fault(
      "no wavelengths were found in the heading",
      "Put one column for each wavelength, with its nm as heading",
    );
  }
  columns.wavelengths.forEach(({ nm }, k) => {
    const before = columns.wavelengths[k - 1]?.nm;
    if (before !== undefined && nm < before) {
      throw fault(
        `the wavelength ${nm} nm comes after ${before} nm`,
        "Sort the wavelengths from short to long",
        `${nm}`,
      );
    }
  });
  const laid = columns.thickness.some(({ basis }) => basis === "amount");
  if (columns.place.label < 0 && !laid) throw fault('there is no column "label"', "Name each film");
  if (laid && columns.thickness.length > 1) {
    throw fault(
      'there are both "amount" and a thickness in µm',
      "Keep one of them, in one unit for all films",
    );
  }
  if (columns.amounts.length > 1 && columns.amounts[0].column < 0) {
    throw fault('there is no column "amount of paste"', "Add it beside the other amounts");
  }
  if (columns.amounts.length > drawdownFileLimits.components) {
    throw fault(
      `there are more than ${drawdownFileLimits.components} components`,
      "Leave out those that were not used",
    );
  }
  return columns;
}
