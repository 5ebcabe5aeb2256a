import { describe, expect, test } from "vitest";
import { flatFilm, flatSpectrum, run, workingWavelengths } from "./inMemory.ts";

const every20 = Array.from({ length: 18 }, (_, i) => 390 + 20 * i);

describe("bole", () => {
  test.each([[["--help"]], [["-h"]], [["help"]]])("%j lists the commands", async (argv) => {
    const { code, out, complaint } = await run(argv);
    expect([code, complaint]).toEqual([0, ""]);
    for (const name of ["run", "film", "lab", "difference", "grounds"])
      expect(out).toMatch(new RegExp(`^  ${name} `, "m"));
  });

  test.each(["run", "film", "lab", "difference", "grounds"])(
    "%s --help explains the command and its exit codes",
    async (name) => {
      const { code, out, complaint } = await run([name, "--help"]);
      expect([code, complaint]).toEqual([0, ""]);
      expect(out).toContain(`-- ${name} `);
      expect(out).toMatch(/Exit code 0/);
    },
  );

  test("without a command, or with an unknown one, says which there are", async () => {
    expect(await run([])).toMatchObject({ code: 2, out: "", complaint: expect.stringContaining("film") });
    expect(await run(["mix"])).toMatchObject({
      code: 2,
      out: "",
      complaint: expect.stringContaining('no command "mix"'),
    });
  });

  test("an unknown option is named", async () => {
    expect(await run(["lab", "--colour", "x"])).toMatchObject({
      code: 2,
      complaint: expect.stringContaining("--colour"),
    });
  });
});

describe("bole film", () => {
  const files = {
    "a.csv": flatFilm(0.5, 1),
    "b.csv": flatFilm(2, 0.7),
    "clear.csv": flatFilm(0, 0),
    "ground.csv": flatSpectrum(0.8),
  };

  test.each([
    // source: Kubelka 1948, hyperbolic solution, worked example; six digits printed
    ["one film over a light ground", ["--layer", "a.csv:1", "--ground", "0.8"], 0.4356],
    // identity: no thickness shows the ground
    ["no thickness", ["--layer", "a.csv:0", "--ground", "0.8"], 0.8],
    // identity: a clear film shows the ground
    ["a clear film", ["--layer", "clear.csv:50", "--ground", "0.8"], 0.8],
    // identity: the ground of the file is the ground of the number
    ["a ground from a file", ["--layer", "a.csv:1", "--ground", "ground.csv"], 0.4356],
    // identity: a thick film hides, R∞ = 1 + K/S − √((K/S)² + 2K/S) at K/S = 0.5
    ["a film that hides", ["--layer", "a.csv:1000", "--ground", "0"], 1.5 - Math.sqrt(1.25)],
  ])("%s", async (_, argv, expected) => {
    const { code, json, complaint } = await run(["film", ...argv], files);
    expect([code, complaint]).toEqual([0, ""]);
    expect(json.wavelengths).toEqual(workingWavelengths);
    expect(json.measured).toBeUndefined();
    for (const R of json.reflectance) expect(R).toBeCloseTo(expected, 6);
  });

  test("two films of one paint equal one thick film, and the first named is on top", async () => {
    const split = await run(
      ["film", "--layer", "b.csv:0.3", "--layer", "b.csv:0.5", "--ground", "0.25"],
      files,
    );
    const whole = await run(["film", "--layer", "b.csv:0.8", "--ground", "0.25"], files);
    expect(split.json.reflectance[0]).toBeCloseTo(whole.json.reflectance[0], 12); // identity: semigroup in X
    const hidden = await run(
      ["film", "--layer", "a.csv:1000", "--layer", "b.csv:1", "--ground", "0.25"],
      files,
    );
    expect(hidden.json.reflectance[0]).toBeCloseTo(1.5 - Math.sqrt(1.25), 12); // identity: the thick film on top hides
  });

  test("the surface", async () => {
    const argv = ["film", "--layer", "clear.csv:1", "--ground", "0.3", "--k1", "0.04", "--k2", "0.6"];
    // source: Saunderson 1942, k1 + (1 − k1)(1 − k2)R/(1 − k2R); six digits
    expect((await run(argv, files)).json.measured[0]).toBeCloseTo(0.180488, 6);
    expect((await run([...argv, "--specular", "excluded"], files)).json.measured[0]).toBeCloseTo(0.140488, 6);
    // identity: taking the surface off the ground and putting it on again
    const measured = await run([...argv.slice(0, 4), "0.5", ...argv.slice(5), "--measured-ground"], files);
    expect(measured.json.measured[0]).toBeCloseTo(0.5, 12);
  });

  test("files on other wavelengths are brought to one grid, and the notes say so", async () => {
    const { json } = await run(["film", "--layer", "a.csv:1", "--layer", "c.csv:1", "--ground", "0.8"], {
      ...files,
      "c.csv": flatFilm(0.5, 1, every20),
    });
    expect(json.wavelengths).toEqual(workingWavelengths);
    expect(json.notes.join("\n")).toMatch(/different wavelengths[\s\S]*c\.csv, field "K": interpolated/);
    const own = await run(["film", "--layer", "c.csv:1", "--ground", "0.8"], {
      "c.csv": flatFilm(0.5, 1, every20),
    });
    expect(own.json.wavelengths).toEqual(every20);
  });

  test.each<[string, string[], RegExp]>([
    ["no film", ["--ground", "0.1"], /--layer FILE:THICKNESS/],
    ["no ground", ["--layer", "a.csv:1"], /--ground is missing/],
    ["no thickness", ["--layer", "a.csv", "--ground", "0"], /paint\.csv:30/],
    [
      "a negative thickness",
      ["--layer", "a.csv:-1", "--ground", "0"],
      /thickness of --layer a\.csv is "-1".*0 to 10000 µm/,
    ],
    ["a ground in per cent", ["--layer", "a.csv:1", "--ground", "80"], /--ground is 80.*0 to 1/],
    ["a missing file", ["--layer", "none.csv:1", "--ground", "0"], /none\.csv: there is no such file/],
    [
      "a negative K",
      ["--layer", "minus.csv:1", "--ground", "0"],
      /minus\.csv, row 2, field "K": -1 per µm is negative/,
    ],
    [
      "a missing column",
      ["--layer", "ground.csv:1", "--ground", "0"],
      /ground\.csv, row 2, field "wavelength_nm"/,
    ],
    [
      "a word for a number",
      ["--layer", "word.csv:1", "--ground", "0"],
      /word\.csv, row 3, field "S": "high" is not a number/,
    ],
    [
      "falling wavelengths",
      ["--layer", "falls.csv:1", "--ground", "0"],
      /falls\.csv, row 3.*390 nm comes after 400 nm/,
    ],
    ["k1 alone", ["--layer", "a.csv:1", "--ground", "0", "--k1", "0.04"], /--k1 and --k2.*together/],
    [
      "k2 of 1",
      ["--layer", "a.csv:1", "--ground", "0", "--k1", "0.04", "--k2", "1"],
      /k2 = 1: must be below 1/,
    ],
    [
      "a wrong word",
      ["--layer", "a.csv:1", "--ground", "0", "--k1", "0", "--k2", "0", "--specular", "yes"],
      /included, excluded/,
    ],
    [
      "a measured ground below k1",
      ["--layer", "a.csv:1", "--ground", "0.02", "--measured-ground", "--k1", "0.04", "--k2", "0.6"],
      /ground has the reflectance -.*Check the reading, --k1 and --specular/,
    ],
    ["a loose word", ["a.csv", "--ground", "0"], /"a\.csv" has no meaning here/],
  ])("refuses %s", async (_, argv, complaint) => {
    const outcome = await run(["film", ...argv], {
      ...files,
      "minus.csv": "wavelength_nm,K,S\n400,-1,1\n410,1,1",
      "word.csv": "wavelength_nm,K,S\n400,1,1\n410,1,high",
      "falls.csv": "wavelength_nm,K,S\n400,1,1\n390,1,1",
    });
    expect([outcome.code, outcome.out]).toEqual([2, ""]);
    expect(outcome.complaint).toMatch(complaint);
  });
});

describe("bole lab", () => {
  test.each(["D65", "A", "FL11", "F11"])(
    "a perfect diffuser is white and a grey is grey under %s",
    async (illuminant) => {
      const argv = ["lab", "x.csv", "--observer", "1964-10", "--illuminant", illuminant];
      const white = await run(argv, { "x.csv": flatSpectrum(1) });
      expect([white.code, white.complaint]).toEqual([0, ""]);
      const [colour] = white.json.samples[0].colours;
      for (const [i, value] of [100, 0, 0].entries()) expect(colour.Lab[i]).toBeCloseTo(value, 9); // identity: the white itself
      // source: CIE 15:2004 8.2.1, L* of Y = 18 is 49.4961
      const grey = await run(argv, { "x.csv": flatSpectrum(0.18) });
      expect(grey.json.samples[0].colours[0].Lab[0]).toBeCloseTo(49.4961, 4);
    },
  );

  test("every sample under every light, with notes", async () => {
    const text = ["nm,one,two", ...every20.map((nm) => `${nm},20,40`)].join("\n");
    const argv = ["lab", "x.csv", "--observer", "1931-2", "--illuminant", "D65", "--illuminant", "A"];
    const { json } = await run(argv, { "x.csv": text });
    expect(json.samples.map(({ label }: { label: string }) => label)).toEqual(["one", "two"]);
    expect(json.samples[1].colours.map(({ light }: { light: string }) => light)).toEqual([
      "D65 daylight",
      "A incandescent",
    ]);
    expect(json.samples[0].colours[0].XYZ[1]).toBeCloseTo(20, 9); // identity: Y of a flat reflectance
    expect(json.notes.join("\n")).toMatch(/per cent[\s\S]*one: interpolated[\s\S]*two: interpolated/);
  });

  test.each<[string, string[], RegExp]>([
    ["no observer", ["x.csv", "--illuminant", "D65"], /--observer is missing.*1964-10, 1931-2/],
    ["an unknown observer", ["x.csv", "--observer", "10", "--illuminant", "D65"], /--observer is "10"/],
    ["no light", ["x.csv", "--observer", "1931-2"], /--illuminant is missing/],
    [
      "an unknown light",
      ["x.csv", "--observer", "1931-2", "--illuminant", "D99"],
      /light "D99" is unknown; known: .*D65/,
    ],
    ["no file", ["--observer", "1931-2", "--illuminant", "D65"], /one CSV file/],
    [
      "half a spectrum",
      ["half.csv", "--observer", "1931-2", "--illuminant", "D65"],
      /half\.csv, sample "R".*400 to 700 nm.*400 to 490/,
    ],
    [
      "a bad value",
      ["bad.csv", "--observer", "1931-2", "--illuminant", "D65"],
      /bad\.csv, row 3, field "R": "x" is not a number/,
    ],
    [
      "bytes that are no text",
      ["bytes.csv", "--observer", "1931-2", "--illuminant", "D65"],
      /bytes\.csv: the file is not UTF-8/,
    ],
  ])("refuses %s", async (_, argv, complaint) => {
    const outcome = await run(["lab", ...argv], {
      "x.csv": flatSpectrum(0.5),
      "half.csv": flatSpectrum(0.5, workingWavelengths.slice(2, 12)),
      "bad.csv": flatSpectrum(0.5).replace("390,0.5", "390,x"),
      "bytes.csv": new Uint8Array([0xff, 0xfe, 0x00]),
    });
    expect([outcome.code, outcome.out]).toEqual([2, ""]);
    expect(outcome.complaint).toMatch(complaint);
  });
});

describe("bole difference", () => {
  test("by every formula, with the words", async () => {
    const { code, json } = await run(["difference", "50,2.6772,-79.7751", "50,0,-82.7485"]);
    expect(code).toBe(0);
    expect(Object.keys(json.differences)).toEqual(["ΔE00", "ΔE*ab", "ΔE94", "CMC(2:1)", "CMC(1:1)"]);
    expect(json.differences.ΔE00).toBeCloseTo(2.0425, 4); // source: Sharma, Wu, Dalal 2005, pair 1
    expect(json.differences["ΔE*ab"]).toBeCloseTo(4.0011, 4); // identity: distance in CIELAB, four digits
    expect(json.words).toMatch(/\w/);
  });

  test.each([
    ["2000", "ΔE00"],
    ["ΔE00", "ΔE00"],
    ["ab", "ΔE*ab"],
    ["94", "ΔE94"],
    ["CMC2:1", "CMC(2:1)"],
    ["cmc1:1", "CMC(1:1)"],
  ])("--formula %s gives %s alone", async (name, formula) => {
    const { json } = await run(["difference", "40,45,24", "41,44,23", "--formula", name]);
    expect(Object.keys(json.differences)).toEqual([formula]);
  });

  test.each<[string, string[], RegExp]>([
    ["one colour", ["50,0,0"], /two colours.*1 were given/],
    ["two numbers", ["50,0", "50,0,0"], /reference is "50,0".*three numbers/],
    ["a word", ["50,0,0", "50,x,0"], /sample, field a\*: "x" has to be a number from -400 to 400/],
    ["an empty field", ["50,0,0", "50,,0"], /sample, field a\*: ""/],
    ["a lightness above 100", ["101,0,0", "50,0,0"], /reference, field L\*: "101".*0 to 100/],
    [
      "an unknown formula",
      ["50,0,0", "50,1,0", "--formula", "99"],
      /--formula is "99".*one of: 94, 2000, ab/,
    ],
  ])("refuses %s", async (_, argv, complaint) => {
    const outcome = await run(["difference", ...argv]);
    expect([outcome.code, outcome.out]).toEqual([2, ""]);
    expect(outcome.complaint).toMatch(complaint);
  });
});

describe("bole grounds", () => {
  const readings = { "black.csv": flatSpectrum(0.14018754), "white.csv": flatSpectrum(0.17473369) };
  const argv = ["grounds", "black.csv", "white.csv", "--black", "0", "--white", "0.8"];

  test("finds K and S of a film", async () => {
    const { code, json, complaint } = await run([...argv, "--thickness", "4"], readings);
    expect([code, complaint]).toEqual([0, ""]);
    // source: Kubelka 1948 solved for two grounds, worked example: KX = 1.2, SX = 0.48; eight digits of R give five
    expect(json.absorptionPower[0]).toBeCloseTo(1.2, 5);
    expect(json.scatteringPower[35]).toBeCloseTo(0.48, 5);
    expect(json.absorption[0]).toBeCloseTo(0.3, 5);
    expect(new Set(json.status)).toEqual(new Set(["determined"]));
    expect(json.notes.at(-1)).toBe("determined at 36 of 36 wavelengths");
  });

  test("takes the surface off readings and grounds", async () => {
    const seen = (R: number) => 0.04 + (0.96 * 0.4 * R) / (1 - 0.6 * R); // source: Saunderson 1942
    const outer = {
      "black.csv": flatSpectrum(seen(0.14018754)),
      "white.csv": flatSpectrum(seen(0.17473369)),
    };
    const { json } = await run(
      [
        "grounds",
        "black.csv",
        "white.csv",
        "--black",
        "0.04",
        "--white",
        String(seen(0.8)),
        "--k1",
        "0.04",
        "--k2",
        "0.6",
      ],
      outer,
    );
    expect(json.absorptionPower[0]).toBeCloseTo(1.2, 4);
    expect(json.scatteringPower[0]).toBeCloseTo(0.48, 4);
  });

  test("a film that hides is undetermined: exit code 1", async () => {
    const { code, json } = await run(argv, {
      "black.csv": flatSpectrum(0.2),
      "white.csv": flatSpectrum(0.2002),
    });
    expect(code).toBe(1);
    expect(new Set(json.status)).toEqual(new Set(["undetermined"]));
  });

  test.each<[string, string[], RegExp]>([
    ["one file", ["black.csv", "--black", "0", "--white", "0.8"], /two CSV files/],
    ["no white ground", ["black.csv", "white.csv", "--black", "0"], /--white is missing/],
    [
      "grounds that are alike",
      ["black.csv", "white.csv", "--black", "0.3", "--white", "0.3"],
      /lighter than the black ground/,
    ],
    [
      "two samples in a file",
      ["two.csv", "white.csv", "--black", "0", "--white", "0.8"],
      /two\.csv: one sample is needed.*"a", "b"/,
    ],
    [
      "a noise of zero",
      ["black.csv", "white.csv", "--black", "0", "--white", "0.8", "--noise", "0"],
      /--noise is "0"/,
    ],
  ])("refuses %s", async (_, words, complaint) => {
    const outcome = await run(["grounds", ...words], {
      ...readings,
      "two.csv": ["nm,a,b", ...workingWavelengths.map((nm) => `${nm},0.1,0.2`)].join("\n"),
    });
    expect([outcome.code, outcome.out]).toEqual([2, ""]);
    expect(outcome.complaint).toMatch(complaint);
  });
});

describe("bole run", () => {
  const notebook = (cells: unknown[]) =>
    JSON.stringify({ format: "bole-notebook", version: 1, title: "t", cells });
  const note = { id: "note", kind: "note", title: "Note", parameters: {}, inputs: {} };

  test("prints every cell's outcome; exit code 0 when all are ok", async () => {
    const { code, json, complaint } = await run(["run", "n.json"], { "n.json": notebook([note]) });
    expect([code, complaint]).toEqual([0, ""]);
    expect(json).toMatchObject({
      ok: true,
      cells: [{ id: "note", kind: "note", title: "Note", status: "ok" }],
    });
  });

  test("exit code 1 when a cell is in error or blocked", async () => {
    const broken = { id: "odd", kind: "no-such-kind", title: "Odd", parameters: {}, inputs: {} };
    const { code, json, complaint } = await run(["run", "n.json"], { "n.json": notebook([note, broken]) });
    expect([code, complaint]).toEqual([1, ""]);
    expect(json.ok).toBe(false);
    expect(json.cells.map(({ status }: { status: string }) => status)).toEqual(["ok", "error"]);
  });

  test.each<[string, string[], string, RegExp]>([
    ["a missing file", ["none.json"], "", /none\.json: there is no such file/],
    ["no file", [], "", /one notebook file/],
    ["no JSON", ["n.json"], "{", /n\.json: .*not valid JSON/],
    ["another format", ["n.json"], "{}", /n\.json: .*format/],
    [
      "a later version",
      ["n.json"],
      notebook([]).replace('"version":1', '"version":99'),
      /n\.json: .*version 99/,
    ],
  ])("exit code 2 for %s", async (_, argv, text, complaint) => {
    const outcome = await run(["run", ...argv], { "n.json": text });
    expect([outcome.code, outcome.out]).toEqual([2, ""]);
    expect(outcome.complaint).toMatch(complaint);
  });
});
