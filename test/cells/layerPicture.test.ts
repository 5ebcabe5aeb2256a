import fc from "fast-check";
import { describe, expect, test } from "vitest";
import lanternRoomText from "../../data/examples/the-lantern-room.json?raw";
import { layPicture, type PicturedLayer, pictureScale, pictureSize } from "../../src/charts/layerPicture.ts";
import { runDocument } from "../../src/cli/runNotebook.ts";
import { type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { addCell, setParameters } from "../../src/document/operations.ts";
import { lightBudget } from "../../src/optics/budget.ts";
import { filmReflectance } from "../../src/optics/film.ts";
import { lightPaths } from "../../src/optics/lightPaths.ts";

const surface = { externalReflection: 0.04, internalReflection: 0.6 };
const share = fc.double({ min: 0, max: 1, noNaN: true });
const layer = fc.record({
  K: fc.double({ min: 0, max: 0.5, noNaN: true }),
  S: fc.double({ min: 0, max: 0.5, noNaN: true }),
  dryThickness: fc.double({ min: 0, max: 60, noNaN: true }),
});
const film = ({ K, S, dryThickness }: { K: number; S: number; dryThickness: number }) => ({
  absorption: Float64Array.of(K),
  scattering: Float64Array.of(S),
  dryThickness,
});

describe("light followed through a stack", () => {
  test("all shares together are 1, and none is below 0", () => {
    fc.assert(
      fc.property(fc.array(layer, { maxLength: 4 }), share, (layers, Rg) => {
        const paths = lightPaths(layers.map(film), Float64Array.of(Rg), surface, 0);
        expect(paths).toHaveLength(layers.length + 1);
        // identity: no light is lost; 1e-12 allows for rounding
        expect(paths.reduce((sum, { swallowed, turned }) => sum + swallowed + turned, 0)).toBeCloseTo(1, 11);
        for (const { swallowed, turned } of paths) {
          expect(swallowed).toBeGreaterThanOrEqual(-1e-12);
          expect(turned).toBeGreaterThanOrEqual(-1e-12);
        }
      }),
    );
  });

  test("what comes back is the light budget's", () => {
    fc.assert(
      fc.property(fc.array(layer, { minLength: 1, maxLength: 3 }), share, (layers, Rg) => {
        const paths = lightPaths(layers.map(film), Float64Array.of(Rg), surface, 0);
        const budget = lightBudget(layers.map(film), Float64Array.of(Rg), surface);
        expect(paths.reduce((sum, { turned }) => sum + turned, 0)).toBeCloseTo(budget.reflected[0], 12);
      }),
    );
  });

  test("a clear film turns nothing round: all that returns has been at the part", () => {
    const [top, part] = lightPaths(
      [film({ K: 0.01, S: 0, dryThickness: 20 })],
      Float64Array.of(0.8),
      surface,
      0,
    );
    expect(top.turned).toBe(0); // identity: S = 0
    expect(part.turned).toBeGreaterThan(0.1);
  });

  test("over black all that returns was turned by the film, as much as the film over black reflects", () => {
    const [K, S, X] = [0.02, 0.1, 25];
    const [top, part] = lightPaths([film({ K, S, dryThickness: X })], Float64Array.of(0), surface, 0);
    expect(part.turned).toBe(0);
    const R0 = filmReflectance(K, S, X, 0);
    // source: Saunderson 1942: of the light that has entered, (1 − k2)·R/(1 − k2·R) leaves
    expect(top.turned).toBeCloseTo((0.4 * R0) / (1 - 0.6 * R0), 12);
  });

  test("two halves of one film turn back together what the whole turns", () => {
    const whole = lightPaths([film({ K: 0.02, S: 0.1, dryThickness: 30 })], Float64Array.of(0.3), surface, 0);
    const halves = lightPaths(
      [film({ K: 0.02, S: 0.1, dryThickness: 15 }), film({ K: 0.02, S: 0.1, dryThickness: 15 })],
      Float64Array.of(0.3),
      surface,
      0,
    );
    // identity: a boundary inside one paint does nothing
    expect(halves[0].turned + halves[1].turned).toBeCloseTo(whole[0].turned, 12);
    expect(halves[0].swallowed + halves[1].swallowed).toBeCloseTo(whole[0].swallowed, 12);
    expect(halves[2].turned).toBeCloseTo(whole[1].turned, 12);
  });
});

describe("the picture laid out", () => {
  const stack = (shares: number[], thicknesses: number[]): PicturedLayer[] =>
    [...thicknesses, 0].map((dryThickness, index) => ({
      label: `layer ${index}`,
      dryThickness,
      swallowed: shares[2 * index],
      turned: shares[2 * index + 1],
    }));
  const arbitrary = fc
    .tuple(
      fc.array(fc.double({ min: 0.001, max: 60, noNaN: true }), { minLength: 1, maxLength: 3 }),
      fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 8, maxLength: 8 }),
    )
    .map(([thicknesses, raw]) => {
      const used = raw.slice(0, 2 * thicknesses.length + 2);
      const sum = used.reduce((a, b) => a + b, 0) || 1;
      return {
        thicknesses,
        layers: stack(
          used.map((value) => value / sum),
          thicknesses,
        ),
      };
    });

  test("layers are to scale, rays as wide as their shares, labels apart and inside", () => {
    fc.assert(
      fc.property(arbitrary, ({ thicknesses, layers }) => {
        const scale = pictureScale([thicknesses.reduce((a, b) => a + b, 0)]);
        const { boxes, rays, labels, height } = layPicture(layers, { scale });
        thicknesses.forEach((thickness, index) => {
          expect(boxes[index].height).toBeCloseTo(thickness * scale, 9);
        });
        for (const { layer, fate, share, width } of rays) {
          expect(share).toBe(layers[layer][fate]);
          expect(width).toBeCloseTo(share * pictureSize.beam, 9);
        }
        const ends = labels.map(({ lines, y }) => y + (lines.length - 1) * pictureSize.lineHeight);
        for (let i = 1; i < labels.length; i++) {
          expect(labels[i].y).toBeGreaterThanOrEqual(ends[i - 1] + pictureSize.lineHeight);
        }
        expect(ends[ends.length - 1]).toBeLessThanOrEqual(height);
      }),
    );
  });

  test("every ray stays within the section and ends or turns inside its own layer", () => {
    fc.assert(
      fc.property(arbitrary, ({ thicknesses, layers }) => {
        const scale = pictureScale([thicknesses.reduce((a, b) => a + b, 0)]);
        const { boxes, rays } = layPicture(layers, { scale });
        for (const { layer, outline } of rays) {
          const numbers = outline.match(/[MLHV][^MLHVZ]*/g) ?? [];
          const depth = Math.max(
            ...numbers.flatMap((part) =>
              part[0] === "V"
                ? [Number(part.slice(1))]
                : part[0] === "H"
                  ? []
                  : [Number(part.slice(1).trim().split(/\s+/)[1])],
            ),
          );
          const across = numbers.flatMap((part) =>
            part[0] === "V" ? [] : [Number(part.slice(1).trim().split(/\s+/)[0])],
          );
          expect(Math.min(...across)).toBeGreaterThanOrEqual(0);
          expect(Math.max(...across)).toBeLessThanOrEqual(pictureSize.edge);
          // 0.01: paths are written to two decimals
          expect(depth).toBeGreaterThanOrEqual(boxes[layer].y - 3);
          expect(depth).toBeLessThanOrEqual(boxes[layer].y + boxes[layer].height + 0.01);
        }
      }),
    );
  });
});

describe("the layer picture cell", () => {
  const demo = parseNotebook(lanternRoomText);
  const withPicture = (
    parameters: Record<string, unknown>,
    change = (document: NotebookDocument) => document,
  ) =>
    runDocument(
      change(
        addCell(demo, {
          id: "picture",
          kind: "layer-picture",
          title: "Picture",
          parameters,
          inputs: { coverage: "cover" },
        }).document,
      ),
    ).then(({ cells }) => cells.find(({ id }) => id === "picture")!);

  interface Shown {
    part: string;
    wavelength: number;
    withBasecoat?: { back: number; layers: { label: string; dryThickness: number; turned: number }[] };
    bare: { back: number; layers: { swallowed: number; turned: number }[] };
  }

  test("red light over the black bolster: lost without the basecoat, sent back by it", async () => {
    const cell = await withPicture({ part: 2, wavelength: 630 });
    expect(cell.status).toBe("ok");
    const { withBasecoat, bare } = cell.result as Shown;
    // common practice: over black a red loses its red light, and a light ground gives it back
    expect(bare.layers[1].swallowed).toBeGreaterThan(0.5);
    expect(withBasecoat!.back).toBeGreaterThan(2 * bare.back);
    expect(withBasecoat!.layers[1].turned).toBeGreaterThan(withBasecoat!.back / 2);
    expect(withBasecoat!.layers.map(({ label }) => label)).toEqual(["Colour", "Basecoat", "Corner bolsters"]);
  });

  test("it agrees with the light budget cell", async () => {
    const report = await runDocument(
      addCell(demo, {
        id: "picture",
        kind: "layer-picture",
        title: "Picture",
        parameters: { part: 2, wavelength: 630 },
        inputs: { coverage: "cover" },
      }).document,
    );
    const resultOf = (id: string) => report.cells.find((cell) => cell.id === id)!.result as never;
    const picture = resultOf("picture") as Shown;
    const light = resultOf("light") as {
      withBasecoat: { back: number };
      bare: { back: number; part: number };
    };
    expect(picture.withBasecoat!.back).toBeCloseTo(light.withBasecoat.back, 12);
    expect(picture.bare.back).toBeCloseTo(light.bare.back, 12);
    expect(picture.bare.layers[1].swallowed).toBeCloseTo(light.bare.part, 12);
  });

  test("without basecoat there is one section", async () => {
    const cell = await withPicture({ part: 2 }, (document) =>
      setParameters(document, "ground", { coats: 0 }),
    );
    expect(cell.status).toBe("ok");
    expect((cell.result as Shown).withBasecoat).toBeUndefined();
  });

  test("a part that is not there is refused with a way out", async () => {
    const cell = await withPicture({ part: 9 });
    expect(cell).toMatchObject({ status: "error", field: "part", wayOut: "Choose 1 to 3" });
  });
});
