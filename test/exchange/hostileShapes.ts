import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { readColourCsv, readLabText } from "../../src/exchange/readLab.ts";
import { readSpectra } from "../../src/exchange/readSpectra.ts";
import { parseCsvTable } from "../../src/tables/csvTable.ts";
import { holdsColoursOnly, readDrawdownColours } from "../../src/tables/drawdownColours.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { readSpectrumCsv } from "../../src/tables/spectrumFile.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { offeredColours, offeredSpectra } from "../drawdowns/offered.ts";

/** Everything that reads a text from outside. */
export const readers: Readonly<Record<string, (text: string) => unknown>> = {
  "colours of a file": (text) => readColourFile("file", text),
  "spectra of a file": (text) => readSpectra(text, "file"),
  "spectra in CSV": (text) => readSpectrumCsv(text, "file"),
  "colours in CSV": (text) => readColourCsv(text, "file"),
  "typed colours": (text) => readLabText(text, "text"),
  "films with spectra": (text) => readDrawdownFile(text, "file"),
  "films with colours": (text) => readDrawdownColours(text, "file"),
  "spectra or colours": (text) => holdsColoursOnly(text, "file"),
  "readings of a film": (text) => offeredSpectra(text, "file"),
  "colours of a film": (text) =>
    offeredColours(text, "file", {
      illuminant: "D65",
      observer: "1964-10",
      weights: weightsFor("1964-10", "D65"),
    }),
  "own tables": (text) => parseCsvTable(text, "file"),
};

const fill = (piece: string, size: number): string =>
  piece.repeat(Math.ceil(size / piece.length)).slice(0, size);
const grid = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const spectrum = grid.map((nm) => `${nm},0.4`).join("\n");
const across = `name,${grid.join(",")}\n`;
const films = `label,ground,specular,${grid.join(",")}\n`;
const film = (cell: string) =>
  `one,black,included,${grid.map((_, i) => (i === 5 ? cell : "0.4")).join(",")}\n`;
const lines = (start: string, line: (i: number) => string, size: number): string => {
  const all = [start];
  for (let length = start.length, i = 0; length < size; i++) {
    all.push(line(i));
    length += all[i + 1].length;
  }
  return all.join("");
};
const cgats = (fields: string, keywords: string, rows: string) =>
  `CGATS.17\n${keywords}\nBEGIN_DATA_FORMAT\n${fields}\nEND_DATA_FORMAT\nBEGIN_DATA\n${rows}\nEND_DATA\n`;
const bands = grid.map((nm) => `NM_${nm}`).join(" ");
const reading = grid.map(() => "0.4").join(" ");
const cxf = (colours: string, specifications = "", attributes = "") =>
  `<?xml version="1.0"?><CxF xmlns="x"><Resources><ObjectCollection><Object Name="a" Id="1"${attributes}>${colours}</Object></ObjectCollection>${specifications}</Resources></CxF>`;
const inSpectrum = (words: string) =>
  cxf(
    `<ColorValues><ReflectanceSpectrum StartWL="380" Increment="10">${words}</ReflectanceSpectrum></ColorValues>`,
  );
const geometry = (words: string) =>
  cxf(
    `<ColorValues><ReflectanceSpectrum ColorSpecification="s" StartWL="380" Increment="10">${reading}</ReflectanceSpectrum></ColorValues>`,
    `<ColorSpecificationCollection><ColorSpecification Id="s"><MeasurementSpec><GeometryChoice><Sphere>${words}</Sphere></GeometryChoice></MeasurementSpec></ColorSpecification></ColorSpecificationCollection>`,
  );
/** What stands where a number, a name or a remark is meant, over and over. */
const pieces: Readonly<Record<string, string>> = {
  digits: "1",
  "digits and points": "1.1",
  "digits, points, exponents": "1.e5",
  "digits and commas": "1,1",
  blanks: " ",
  tabs: "\t",
  "unusual blanks": "\u00a0",
  "commas and semicolons": ",;",
  "quotation marks": '"',
  "quoted commas": '",",',
  "quoted breaks": '"\n",',
  "comments with colons": "# paste: ",
  "letters and blanks": "paste ",
  angles: "45 ",
  "an angle and blanks": `45${" ".repeat(50_000)}`,
  "lights and slashes": "D65/",
  "letters and slashes": "A / ",
  percent: "% ",
  brackets: "(",
  breaks: "\n",
  "both breaks": "\r\n",
  returns: "\r",
  "L and blanks": "L* ",
};
/** The same, in XML. */
const tags: Readonly<Record<string, string>> = {
  "less than": "<",
  "tags in each other": "<a></a>",
  "open tags": "<a>",
  "empty tags": "<a/>",
  attributes: '<a b="c" d="e"/>',
  "open attributes": "<a b=\"c d='",
  comments: "<!-- - -->",
  "open comments": "<!--",
  entities: "&amp;",
  "open entities": "&",
};
const end = "x";
const spectra = ["colours of a file", "spectra in CSV", "readings of a film"];
const ofFilms = ["films with spectra", "spectra or colours"];
const ofColours = ["colours of a file", "colours in CSV", "colours of a film", "films with colours"];
const ofAnyForm = ["spectra of a file"];

/** Where it stands, and which readers then look at it. */
const places: Readonly<
  Record<string, readonly [readers: readonly string[], put: (inside: string) => string]>
> = {
  "nothing else": [Object.keys(readers), (inside) => inside],
  "a cell of a column": [spectra, (inside) => `nm,red\n380,${inside}${end}\n${spectrum}\n`],
  "a cell of a row": [spectra, (inside) => `${across}red,${inside}${end}\n`],
  "a quoted cell": [
    [...spectra, "own tables"],
    (inside) => `nm,red\n380,"${inside.replaceAll('"', '""')}"\n${spectrum}\n`,
  ],
  "a heading": [spectra, (inside) => `nm,${inside}${end}\n${spectrum}\n`],
  "a comment": [[...spectra, "own tables"], (inside) => `# paste: ${inside}${end}\nnm,red\n${spectrum}\n`],
  "a comment on films": [ofFilms, (inside) => `# paste: ${inside}${end}\n${films}${film("0.4")}`],
  "a reading of a film": [ofFilms, (inside) => `${films}${film(inside + end)}`],
  "the name of a film": [ofFilms, (inside) => `${films}${inside}${end}${film("0.4")}`],
  "a colour": [ofColours, (inside) => `name,L*,a*,b*\none,${inside}${end},3,4\n`],
  "a heading of colours": [ofColours, (inside) => `name,L* ${inside}${end},a*,b*\none,50,3,4\n`],
  "a typed colour": [["typed colours"], (inside) => `seat: L ${inside}${end} 3 4`],
  "a word of CGATS": [ofAnyForm, (inside) => cgats(`SAMPLE_ID ${bands}`, "", `1 ${inside}${end} ${reading}`)],
  "a quoted word of CGATS": [
    ofAnyForm,
    (inside) =>
      cgats(
        `SAMPLE_ID ${bands}`,
        `MEASUREMENT_GEOMETRY "${inside.replaceAll('"', '""')}${end}"`,
        `1 ${reading}`,
      ),
  ],
  "a keyword of CGATS": [
    ofAnyForm,
    (inside) => cgats(`SAMPLE_ID ${bands}`, `ILLUMINANT ${inside}${end}`, `1 ${reading}`),
  ],
  "a field of CGATS": [ofAnyForm, (inside) => cgats(`SAMPLE_ID ${inside} ${bands}`, "", `1 ${reading}`)],
  "readings in CxF": [ofAnyForm, (inside) => inSpectrum(inside + end)],
  "a geometry in CxF": [ofAnyForm, (inside) => geometry(inside + end)],
  "an attribute in CxF": [ofAnyForm, (inside) => cxf("", "", ` GUID="${inside.replaceAll(/["<]/g, "'")}"`)],
};

/** Texts made to keep a reader busy: `make` gives one of about that many signs. */
export interface HostileShape {
  readonly name: string;
  readonly reader: string;
  make(size: number): string;
}

const repeated = Object.entries(places).flatMap(([place, [who, put]]) =>
  Object.entries(place.includes("CxF") || place === "nothing else" ? { ...pieces, ...tags } : pieces).flatMap(
    ([what, piece]) =>
      who.map(
        (reader): HostileShape => ({
          name: `${what} as ${place}`,
          reader,
          make: (size) => put(fill(piece, size)),
        }),
      ),
  ),
);

/** A table with many of something; rows above the limits of the readers are refused, which must not take long either. */
const many: Readonly<Record<string, readonly [readers: readonly string[], make: (size: number) => string]>> =
  {
    columns: [
      [...spectra, ...ofColours, "own tables"],
      (size) => {
        const count = Math.floor(size / 11);
        return `nm${lines("", (i) => `,c${i}`, size / 2)}\n380${",0.4".repeat(count)}\n`;
      },
    ],
    rows: [[...spectra, "own tables"], (size) => lines("nm,red\n", (i) => `${380 + i / 1000},0.4\n`, size)],
    "rows of one name": [
      spectra,
      (size) => lines(across, () => `red,${reading.replaceAll(" ", ",")}\n`, size),
    ],
    "films of one name": [ofFilms, (size) => lines(films, () => film("0.4"), size)],
    "colours of one name": [ofColours, (size) => lines("name,L*,a*,b*\n", () => "red,50,3,4\n", size)],
    "typed colours": [
      ["typed colours", "colours of a film"],
      (size) => lines("", () => "red: 50 3 4\n", size),
    ],
    "fields in many tables": [
      ofAnyForm,
      (size) =>
        lines(
          "CGATS.17\n",
          () =>
            cgats(
              lines("SAMPLE_ID ", (i) => `F${i} `, 24_000),
              "",
              "",
            ),
          size,
        ),
    ],
    "rows of CGATS": [
      ofAnyForm,
      (size) =>
        cgats(
          `SAMPLE_ID ${bands}`,
          "",
          lines("", () => `red ${reading}\n`, size),
        ),
    ],
    "lines of one row": [
      ofAnyForm,
      (size) =>
        cgats(
          lines("SAMPLE_ID ", (i) => `F${i} `, 20_000),
          "",
          lines("", () => "0.4\n", size),
        ),
    ],
    "objects of CxF": [
      ["colours of a file"],
      (size) => {
        const colour = "<ColorValues><ColorCIELab><L>50</L><A>3</A><B>4</B></ColorCIELab></ColorValues>";
        const objects = lines("", (i) => `<Object Name="red" Id="${i}">${colour}</Object>`, size);
        return `<?xml version="1.0"?><CxF><Resources><ObjectCollection>${objects}</ObjectCollection></Resources></CxF>`;
      },
    ],
    "values of one object": [
      ofAnyForm,
      (size) => cxf(`<ColorValues>${fill("<ColorCIEXYZ><X>1</X></ColorCIEXYZ>", size)}</ColorValues>`),
    ],
    ...Object.fromEntries(
      Object.entries({
        "attributes in a tag": "bc = 'd' ",
        "open marks in a tag": "b='",
        "blanks in a tag": " ",
      }).map(([what, piece]) => [
        what,
        [ofAnyForm, (size: number) => `<CxF>${lines("", () => `<a ${fill(piece, 15_000)}b=/>`, size)}</CxF>`],
      ]),
    ),
  };

export const hostileShapes: readonly HostileShape[] = [
  ...repeated,
  ...Object.entries(many).flatMap(([what, [who, make]]) =>
    who.map((reader): HostileShape => ({ name: `many ${what}`, reader, make })),
  ),
];
