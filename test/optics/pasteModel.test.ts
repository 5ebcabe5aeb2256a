import { describe, expect, test } from "vitest";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { type PasteParameters, pasteModel } from "../../src/optics/pasteModel.ts";

const grid = wavelengths(workingGrid);
const at = (values: Float64Array, wavelength: number): number => values[grid.indexOf(wavelength)];

const nothing: PasteParameters = {
  floor: { amount: 0, exponent: 0 },
  edges: [],
  bands: [],
  scattering: { amount: 0, exponent: 0 },
  rises: [],
  steps: [],
};

describe("pasteModel", () => {
  test("gives both spectra on the working grid, zero without terms", () => {
    // identity: empty sums; an amount of 0 times anything
    const { absorption, scattering } = pasteModel(nothing);
    expect(absorption).toEqual(new Float64Array(workingGrid.length));
    expect(scattering).toEqual(new Float64Array(workingGrid.length));
  });

  test("power laws take their value at 560 nm and fall as the exponent says", () => {
    // identity: (280·2 / 560)^-p = 1; between 420 and 700 nm the ratio is (700/420)^p = (5/3)^p
    const { absorption, scattering } = pasteModel({
      ...nothing,
      floor: { amount: 0.3, exponent: 2 },
      scattering: { amount: 0.8, exponent: 4 },
    });
    expect(at(absorption, 560)).toBe(0.3);
    expect(at(scattering, 560)).toBe(0.8);
    expect(at(absorption, 420) / at(absorption, 700)).toBeCloseTo((5 / 3) ** 2, 12);
    expect(at(scattering, 420) / at(scattering, 700)).toBeCloseTo((5 / 3) ** 4, 12);
  });

  test("an edge is half its height at its wavelength, full above in energy, exponential below", () => {
    const width = 0.02;
    const { absorption: K } = pasteModel({ ...nothing, edges: [{ amount: 2, wavelength: 560, width }] });
    expect(at(K, 560)).toBeCloseTo(1, 12); // identity: 1/(1 + e⁰)
    expect(at(K, 380)).toBeCloseTo(2, 9); // limit: 1.05 eV above the edge, 52 widths
    // limit: far below the edge ln K falls by ΔE/w; energies from E = hc/λ with hc = 1239.841984 eV nm (SI 2019)
    const hc = 1239.841984;
    expect(Math.log(at(K, 680) / at(K, 690))).toBeCloseTo((hc / 680 - hc / 690) / width, 6);
    for (let i = 1; i < K.length; i++) expect(K[i]).toBeLessThan(K[i - 1] + 1e-12); // identity: monotone in energy
  });

  test("a band has its height at its wavelength and e^-½ of it one width away in energy", () => {
    const hc = 1239.841984;
    const width = hc / 500 - hc / 550;
    const { absorption: K } = pasteModel({ ...nothing, bands: [{ amount: 0.7, wavelength: 550, width }] });
    expect(at(K, 550)).toBeCloseTo(0.7, 12); // identity
    expect(at(K, 500)).toBeCloseTo(0.7 * Math.exp(-0.5), 12); // identity
    expect(Math.max(...K)).toBe(at(K, 550));
  });

  test("absorptions add, changes of scattering multiply", () => {
    const edge = { amount: 0.4, wavelength: 580, width: 0.03 };
    const band = { amount: 0.2, wavelength: 540, width: 0.1 };
    const rise = { amount: 3, wavelength: 610, width: 0.15 };
    const step = { amount: 1.5, wavelength: 600, width: 0.05 };
    const floor = { amount: 0.01, exponent: 1 };
    const scattering = { amount: 0.02, exponent: 1.2 };
    const whole = pasteModel({
      floor,
      edges: [edge],
      bands: [band],
      scattering,
      rises: [rise],
      steps: [step],
    });
    const one = (part: Partial<PasteParameters>) => pasteModel({ ...nothing, ...part });
    const bare = { scattering: { amount: 1, exponent: 0 } };
    const [K1, K2, K3] = [{ floor }, { edges: [edge] }, { bands: [band] }].map((p) => one(p).absorption);
    const [S1, S2, S3] = [{ scattering }, { ...bare, rises: [rise] }, { ...bare, steps: [step] }].map(
      (p) => one(p).scattering,
    );
    for (let i = 0; i < grid.length; i++) {
      expect(whole.absorption[i]).toBeCloseTo(K1[i] + K2[i] + K3[i], 14); // identity
      expect(whole.scattering[i]).toBeCloseTo(S1[i] * S2[i] * S3[i], 14); // identity
    }
    expect(S2[grid.indexOf(610)]).toBeCloseTo(4, 12); // identity: 1 + h at the centre of a rise
    expect(S3[grid.indexOf(600)]).toBeCloseTo(1.75, 12); // identity: 1 + h/2 at a step
    expect(S3[0]).toBeCloseTo(1, 6); // limit: nothing on the short-wave side, 1.2 eV or 24 widths away
  });

  test.each([
    ["negative floor", { floor: { amount: -0.1, exponent: 0 } }, /floor of absorption = -0.1 1\/µm/],
    ["negative edge", { edges: [{ amount: -1, wavelength: 580, width: 0.1 }] }, /edge of absorption: amount/],
    [
      "band without width",
      { bands: [{ amount: 1, wavelength: 580, width: 0 }] },
      /band of absorption: width = 0 eV/,
    ],
    [
      "rise below -1",
      { rises: [{ amount: -1.1, wavelength: 580, width: 0.1 }] },
      /rise of scattering.*at least -1/,
    ],
    [
      "step at 0 nm",
      { steps: [{ amount: 1, wavelength: 0, width: 0.1 }] },
      /step of scattering: wavelength = 0 nm/,
    ],
    ["exponent not a number", { scattering: { amount: 1, exponent: Number.NaN } }, /exponent of scattering/],
  ] satisfies [string, Partial<PasteParameters>, RegExp][])("refuses a %s", (_, part, message) => {
    expect(() => pasteModel({ ...nothing, ...part })).toThrow(RangeError);
    expect(() => pasteModel({ ...nothing, ...part })).toThrow(message);
  });
});
