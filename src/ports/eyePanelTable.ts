import Papa from "papaparse";
import { sizeWords } from "../judgement/stepWords.ts";
import { illuminantNames } from "../tables/illuminants.ts";
import type { EyePair, EyePanel, SaidStep } from "./eyePanels.ts";

/** Names of the columns, in order. The three words as steps from −4 to 4; words beside them are for the reader. */
const columns = [
  ...["poured", "part", "coats", "light"],
  ...["lightness", "strength", "hue", "words"],
  ...["panel_L", "panel_a", "panel_b", "reference_L", "reference_a", "reference_b"],
] as const;
type Row = Readonly<Record<(typeof columns)[number], string>>;

const header = [
  "# Panels held beside a reference, and what was said of them. Free to use.",
  "# poured: component:mL, separated by spaces. part: 1, 2, … of the coverage cell; 0: hides everything. coats: empty for all.",
  `# lightness, strength, hue: panel against reference, -4 to 4 for ${sizeWords.join(", ")}; "-" for cannot judge, empty for not`,
  "# said; above 0 lighter, stronger (redder beside a grey), further round the hue circle (yellower for a red or a grey).",
  "# panel_ and reference_: CIELAB where both were measured; such a row without poured grades the eye.",
];

/** Panels and pairs as CSV. @param wordsOf what was said of a panel in words, for the reader */
export function writePanels(
  panels: readonly EyePanel[],
  pairs: readonly EyePair[],
  wordsOf: (panel: EyePanel, index: number) => string,
): string {
  const said = (steps: EyePanel["steps"]) =>
    steps.map((step) => (step === null ? "" : step === "cannot judge" ? "-" : String(step)));
  const notPoured = ["", "", "", ""];
  const notMeasured = ["", "", "", "", "", ""];
  const rows = [
    ...panels.map((panel, k) => [
      panel.poured.map(({ component, volume }) => `${component}:${volume}`).join(" "),
      String(panel.part),
      panel.coats === null ? "" : String(panel.coats),
      panel.light,
      ...said(panel.steps),
      wordsOf(panel, k),
      ...notMeasured,
    ]),
    ...pairs.map(({ panel, reference, steps }) => [
      ...notPoured,
      ...said(steps),
      "",
      ...panel.map(String),
      ...reference.map(String),
    ]),
  ];
  return `${header.join("\n")}\n${Papa.unparse({ fields: [...columns], data: rows }, { newline: "\n" })}\n`;
}

/**
 * Panels and pairs from CSV.
 * @throws RangeError naming row and column
 */
export function readPanels(text: string): { panels: EyePanel[]; pairs: EyePair[] } {
  const { data, meta, errors } = Papa.parse<Record<string, string>>(text, {
    header: true,
    comments: "#",
    skipEmptyLines: "greedy",
    transformHeader: (name) => name.trim(),
  });
  const wrong = errors.find(({ type }) => type !== "Delimiter");
  if (wrong) throw new RangeError(`row ${(wrong.row ?? 0) + 1}: ${wrong.message}`);
  for (const name of ["lightness", "strength", "hue"]) {
    if (!meta.fields?.includes(name)) throw new RangeError(`there is no column "${name}"`);
  }
  if (data.length > 200) throw new RangeError(`${data.length} rows: at most 200 are read`);
  const panels: EyePanel[] = [];
  const pairs: EyePair[] = [];
  data.forEach((given, k) => {
    const row = Object.fromEntries(columns.map((name) => [name, (given[name] ?? "").trim()])) as Row;
    const where = `row ${k + 1}`;
    const steps: EyePanel["steps"] = [
      step(row, "lightness", where),
      step(row, "strength", where),
      step(row, "hue", where),
    ];
    if (row.poured !== "") {
      panels.push({
        poured: row.poured.split(/\s+/).map((part) => pouredFrom(part, where)),
        part: row.part === "" ? 1 : whole(row, "part", where, 0, 64),
        coats: row.coats === "" ? null : whole(row, "coats", where, 1, 40),
        light: lightFrom(row.light, where),
        steps,
      });
    } else {
      const read = (of: "panel" | "reference"): [number, number, number] => [
        number(row, `${of}_L`, where, 0, 105),
        number(row, `${of}_a`, where, -200, 200),
        number(row, `${of}_b`, where, -200, 200),
      ];
      pairs.push({ panel: read("panel"), reference: read("reference"), steps });
    }
  });
  return { panels, pairs };
}

function number(row: Row, column: keyof Row, where: string, min: number, max: number): number {
  const value = Number(row[column]);
  if (row[column] === "" || !(value >= min && value <= max)) {
    throw new RangeError(`${where}, ${column} is "${row[column]}": a number from ${min} to ${max} is needed`);
  }
  return value;
}

function whole(row: Row, column: keyof Row, where: string, min: number, max: number): number {
  const value = number(row, column, where, min, max);
  if (!Number.isInteger(value))
    throw new RangeError(`${where}, ${column} is ${value}: a whole number is needed`);
  return value;
}

function step(row: Row, column: "lightness" | "strength" | "hue", where: string): SaidStep {
  if (row[column] === "") return null;
  return row[column] === "-" ? "cannot judge" : whole(row, column, where, -4, 4);
}

function pouredFrom(part: string, where: string) {
  const [component, volume, ...more] = part.split(":");
  const value = Number(volume);
  if (
    component === "" ||
    volume === undefined ||
    volume === "" ||
    more.length > 0 ||
    !(value >= 0 && value <= 1e5)
  ) {
    throw new RangeError(`${where}, poured: "${part}" is not component:mL, such as pr254:8.5`);
  }
  return { component, volume: value };
}

function lightFrom(name: string, where: string): EyePanel["light"] {
  const light = illuminantNames.find((known) => known === (name || "D65"));
  if (!light)
    throw new RangeError(`${where}, light is "${name}": one of ${illuminantNames.join(", ")} is needed`);
  return light;
}
