import { describe, expect, test } from "vitest";
import {
  coefficientFiles,
  curveSamples,
  LabFiles,
  reflectanceFiles,
} from "../../src/exchange/exportFiles.ts";
import { previewOf } from "../../src/exchange/preview.ts";
import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { readSpectra } from "../../src/exchange/readSpectra.ts";
import { writeLabCsv } from "../../src/exchange/writeLabCsv.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";

const [paste, other] = lanternRoom.pastes;
const curves = [
  { label: "target", values: lanternRoom.target.reflectance },
  { label: "seat, now", values: lanternRoom.parts[0].reflectance },
];

describe("what is saved is read back", () => {
  test.each(
    reflectanceFiles(curveSamples(curves, "included"), "invented reds").map(
      (file) => [file.form, file] as const,
    ),
  )("reflectances as %s", (form, file) => {
    const back = readColourFile(`saved${file.ending}`, file.write("2026-11-25"));
    expect(back.form).toBe(form);
    expect(back.samples.map(({ label }) => label)).toEqual(["target", "seat, now"]);
    back.samples.forEach((sample, i) => {
      if (sample.kind !== "spectrum") throw new Error("no spectrum");
      expect(sample.specular).toBe("included");
      expect(sample.values).toEqual(Array.from(curves[i].values)); // identity: round trip
    });
  });

  const readings = [
    {
      kind: "Lab" as const,
      label: 'red "one"',
      Lab: [43.2, 51.05, -28.5] as const,
      observer: "1931-2" as const,
      illuminant: "FL11",
      specular: "excluded" as const,
    },
  ];
  test.each(LabFiles(readings, "an invented reading").map((file) => [file.form, file] as const))(
    "a Lab with its conditions as %s",
    (_, file) => {
      const back = readColourFile(`saved${file.ending}`, file.write("2026-11-25"));
      expect(back.samples).toEqual(readings); // identity: round trip
    },
  );

  test("Lab readings made in different ways do not go into one table", () => {
    expect(() => writeLabCsv([readings[0], { ...readings[0], label: "two", illuminant: "A" }])).toThrow(
      /were not read alike/,
    );
  });
});

describe("K and S", () => {
  const [csv, cgats] = coefficientFiles([paste], "an invented paste");

  test("of one component in the columns that the command line reads", () => {
    const table = parseCsvTable(csv.write("2026-11-25"), "saved.csv");
    expect(numberColumn(table, "K")).toEqual(paste.absorption); // identity: round trip
    expect(numberColumn(table, "S")).toEqual(paste.scattering);
    expect(table.comments.join()).toContain("1/µm of dry film");
  });

  test("of several with their names", () => {
    const [many] = coefficientFiles([paste, other], "invented pastes");
    const table = parseCsvTable(many.write("2026-11-25"), "saved.csv");
    expect(numberColumn(table, `S ${other.name}`)).toEqual(other.scattering);
  });

  test("in CGATS text they are no reflectances, and are not read as some", () => {
    const text = cgats.write("2026-11-25");
    expect(text).toContain(`K_560`);
    expect(text).toContain(String(paste.absorption[18]));
    expect(() => readColourFile("saved.txt", text)).toThrow(/Export fields such as SPECTRAL_NM_400/);
  });
});

test("a cell that needs spectra takes them from any form, and tells what it left out", () => {
  const [csvFile, cgatsFile, cxfFile] = reflectanceFiles(curveSamples(curves, "included"), "invented reds");
  for (const file of [csvFile, cgatsFile, cxfFile]) {
    const { samples } = readSpectra(file.write("2026-11-25"), `saved${file.ending}`);
    expect(samples.map(({ label }) => label)).toEqual(["target", "seat, now"]);
  }
  expect(() => readSpectra("name,L*,a*,b*\nred,43,51,28\n", "lab.csv")).toThrow(
    /lab\.csv: it holds colours in Lab/,
  );
});

test("a preview is the sample's own colour, and a spectrum that covers too little has none", () => {
  const sample = {
    kind: "XYZ" as const,
    label: "white",
    XYZ: [95.047, 100, 108.883] as const,
    illuminant: "D65",
    observer: "1931-2" as const,
  };
  const { Lab } = previewOf(sample);
  // source: CIE 15, white point of D65 and the 2° observer: L* = 100, a* = b* = 0; the table's own white is summed at 5 nm
  expect(Lab[0]).toBeCloseTo(100, 6);
  expect(Math.hypot(Lab[1], Lab[2])).toBeLessThan(0.1);
  const wavelengths = Array.from({ length: 16 }, (_, i) => 450 + 10 * i);
  const short = {
    kind: "spectrum" as const,
    label: "short",
    wavelengths,
    values: wavelengths.map(() => 0.5),
  };
  expect(() => previewOf(short)).toThrow(/must cover 400 to 700 nm/);
});
