import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { LabToXYZ } from "../../src/colour/Lab.ts";
import { fitColours, fittedLab, type KnownPatch } from "../../src/photo/colourFit.ts";
import { errorEstimate } from "../../src/photo/errorEstimate.ts";
import { XYZToLinear } from "../../src/photo/pictureSpace.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cameras, chart, photographChart } from "./chartScene.ts";
import { photoColours } from "./ofPicture.ts";

const { white } = weightsFor("1964-10", "D65");

// Colours inside sRGB, invented.
const Labs = [
  [92, 0, 2],
  [75, 1, 0],
  [55, 0, 1],
  [35, 1, -1],
  [50, 35, 22],
  [45, -25, 18],
  [40, 8, -30],
  [70, 5, 45],
  [60, 25, -8],
  [65, -22, -10],
  [38, 28, 12],
  [80, -8, 30],
  [30, 12, -20],
  [58, 18, 40],
];

/** What a camera shows that mixes the wanted channels linearly, with an exponent for its contrast. */
function patchesThrough(matrix: readonly number[], tone = 1, count = Labs.length): KnownPatch[] {
  return Labs.slice(0, count).map((Lab, i) => {
    const [r, g, b] = XYZToLinear(LabToXYZ(Lab, white, new Float64Array(3)), white, "srgb");
    const rgb = [0, 1, 2].map(
      (c) => (matrix[3 * c] * r + matrix[3 * c + 1] * g + matrix[3 * c + 2] * b) ** tone,
    );
    return { label: `patch ${i + 1}`, rgb, Lab };
  });
}

const gainsOnly = [0.6, 0, 0, 0, 0.5, 0, 0, 0, 0.4];
const mixing = [0.5, 0.08, 0.02, 0.05, 0.5, 0.06, 0.01, 0.1, 0.4];

describe("fitColours", () => {
  test.each([
    [1, gainsOnly],
    [2, gainsOnly],
    [3, gainsOnly],
  ])("%i patches undo gains exactly", (count, matrix) => {
    const known = patchesThrough(matrix, 1, count);
    const fit = fitColours(known, white, "srgb");
    expect(fit.model).toBe("white balance");
    for (const patch of patchesThrough(matrix)) {
      expect(deltaE2000(patch.Lab, fittedLab(fit, patch.rgb))).toBeLessThan(1e-6);
    }
  });

  test("from four patches a matrix undoes mixing", () => {
    const known = patchesThrough(mixing);
    const few = [known[0], known[4], known[5], known[6], known[7], known[8]];
    const fit = fitColours(few, white, "srgb");
    expect(fit.model).toBe("3×3 matrix");
    // the small pull towards plain gains costs little
    for (const patch of known) expect(deltaE2000(patch.Lab, fittedLab(fit, patch.rgb))).toBeLessThan(0.6);
  });

  test("from twelve patches the fit may use roots; it is never worse on patches left out than the smaller models", () => {
    const known = patchesThrough(mixing);
    const fit = fitColours(known, white, "srgb");
    expect(["3×3 matrix", "root polynomial"]).toContain(fit.model);
    for (const residual of fit.residuals) expect(residual.deltaE).toBeLessThan(0.6);
  });

  test("colours keep when the exposure changes (identity of the models used)", () => {
    const fit = fitColours(patchesThrough(mixing), white, "srgb");
    const one = fittedLab(fit, [0.2, 0.1, 0.05]);
    const two = fittedLab(fit, [0.4, 0.2, 0.1]);
    expect(Math.atan2(two[2], two[1])).toBeCloseTo(Math.atan2(one[2], one[1]), 9);
    expect(two[0]).toBeGreaterThan(one[0]);
  });

  test("a picture with raised contrast is noticed and straightened", () => {
    const known = patchesThrough(gainsOnly, 1 / 0.8);
    const fit = fitColours(known, white, "srgb");
    expect(fit.tone).toBe(0.8);
    expect(fit.notes.join()).toContain("not in plain linear light");
    for (const patch of known) expect(deltaE2000(patch.Lab, fittedLab(fit, patch.rgb))).toBeLessThan(1);
    expect(fitColours(patchesThrough(gainsOnly), white, "srgb").tone).toBe(1);
  });

  test("residuals tell a patch whose known colour is wrong", () => {
    const known = patchesThrough(mixing).map((patch, i) =>
      i === 5 ? { ...patch, Lab: [45, 10, 18] } : patch,
    );
    const { residuals } = fitColours(known, white, "srgb");
    const worst = residuals.reduce((a, b) => (a.deltaEWithout! > b.deltaEWithout! ? a : b));
    expect(worst.label).toBe("patch 6");
    expect(worst.deltaEWithout!).toBeGreaterThan(10);
  });

  test.each([
    ["no patch", []],
    ["no light in a channel", [{ label: "card", rgb: [0.2, 0, 0.2], Lab: [50, 0, 0] }]],
    ["L* of 0", [{ label: "card", rgb: [0.2, 0.2, 0.2], Lab: [0, 0, 0] }]],
    ["no number", [{ label: "card", rgb: [0.2, 0.2, Number.NaN], Lab: [50, 0, 0] }]],
  ])("%s is refused", (_, patches) => {
    expect(() => fitColours(patches, white, "srgb")).toThrow(RangeError);
  });

  test("whatever the patches, a result is finite or refused", () => {
    const channel = fc.double({ min: 0.001, max: 1, noNaN: true });
    const patch = fc.record({
      label: fc.constant("p"),
      rgb: fc.tuple(channel, channel, channel),
      Lab: fc.tuple(
        fc.double({ min: 1, max: 100, noNaN: true }),
        fc.double({ min: -80, max: 80, noNaN: true }),
        fc.double({ min: -80, max: 80, noNaN: true }),
      ),
    });
    fc.assert(
      fc.property(fc.array(patch, { minLength: 1, maxLength: 14 }), (patches) => {
        let fit: ReturnType<typeof fitColours>;
        try {
          fit = fitColours(patches, white, "srgb");
        } catch (error) {
          expect(error).toBeInstanceOf(RangeError);
          return;
        }
        const sample = {
          rgb: Float64Array.of(0.3, 0.2, 0.1),
          spread: Float64Array.of(0.01, 0.01, 0.01),
          count: 200,
        };
        const { ninety } = errorEstimate(fit, sample.rgb, sample, 0.01, "same");
        expect([...fittedLab(fit, sample.rgb), ninety].every(Number.isFinite)).toBe(true);
        expect(ninety).toBeGreaterThan(0);
      }),
      { seed: 91, numRuns: 150 },
    );
  });
});

describe("errorEstimate", () => {
  const card = fitColours([{ label: "card", rgb: [0.2, 0.18, 0.16], Lab: [49.5, 0, 0] }], white, "srgb");
  const quiet = { rgb: Float64Array.of(0.2, 0.1, 0.05), spread: new Float64Array(3), count: 400 };

  test("grows with chroma, noise, uneven light, and a foreign light", () => {
    const base = errorEstimate(card, [0.2, 0.18, 0.16], quiet, 0, "same").ninety;
    const strong = errorEstimate(card, [0.3, 0.05, 0.03], quiet, 0, "same").ninety;
    const noisy = errorEstimate(
      card,
      [0.2, 0.18, 0.16],
      { ...quiet, spread: Float64Array.of(0.1, 0.1, 0.1) },
      0,
      "same",
    );
    const uneven = errorEstimate(card, [0.2, 0.18, 0.16], quiet, 0.1, "same");
    const foreign = errorEstimate(card, [0.2, 0.18, 0.16], quiet, 0, "other").ninety;
    expect(strong).toBeGreaterThan(base);
    expect(noisy.ninety).toBeGreaterThan(base);
    expect(noisy.sampling).toBeGreaterThan(0);
    expect(uneven.light).toBeGreaterThan(1);
    expect(foreign).toBeGreaterThan(base);
  });

  test("noise shrinks with the number of pixels", () => {
    const noisy = { ...quiet, spread: Float64Array.of(0.05, 0.03, 0.02) };
    const few = errorEstimate(card, quiet.rgb, { ...noisy, count: 100 }, 0, "same").sampling;
    const many = errorEstimate(card, quiet.rgb, { ...noisy, count: 10_000 }, 0, "same").sampling;
    expect(many).toBeLessThan(few / 5);
  });
});

describe("photoColours", () => {
  const weights = weightsFor("1964-10", "D65");
  const scene = photographChart(cameras[0], "D65", weights, 5);
  const part = { label: "part", circle: scene.patches[14].circle };

  test("without usable patches there is an answer in words and no colour", () => {
    const none = photoColours(scene.picture, {
      cards: [],
      patches: [],
      parts: [part],
      white: weights.white,
      light: "same",
    });
    expect(none.fit).toBeUndefined();
    expect(none.parts).toEqual([]);
    expect(none.notes.join()).toContain("grey card");
  });

  test("a clipped patch is refused by name and the rest still serve", () => {
    const bright = {
      ...scene.picture,
      data: Uint8ClampedArray.from(scene.picture.data, (value) => value * 1.35),
    };
    const answer = photoColours(bright, {
      cards: scene.cards,
      patches: scene.patches,
      parts: [part],
      white: weights.white,
      light: "same",
    });
    expect(answer.refused.map(({ label }) => label)).toContain(chart[18].label);
    expect(answer.refused.find(({ label }) => label === chart[18].label)?.reasons.join()).toContain(
      "overexposed",
    );
    expect(answer.parts.length).toBe(1);
  });

  test("a colour beyond the picture's space is flagged, with an error that says at least", () => {
    const cyan = scene.patches[17];
    const answer = photoColours(scene.picture, {
      cards: scene.cards,
      patches: scene.patches,
      parts: [{ label: "cyan", circle: cyan.circle }],
      white: weights.white,
      light: "same",
    });
    expect(answer.parts[0].beyondSpace).toBe(true);
    expect(answer.parts[0].notes.join()).toContain("at least");
    expect(answer.refused.map(({ label }) => label)).toContain(cyan.label);
  });

  test("fall-off of the light is taken out: the same card reads alike at all its places", () => {
    const parts = scene.cards.map((circle, i) => ({ label: `card ${i}`, circle }));
    const known = [{ label: "card", circle: scene.cards[1], Lab: scene.cardLab }];
    const read = (cards: typeof scene.cards) =>
      photoColours(scene.picture, {
        cards,
        patches: known,
        parts,
        white: weights.white,
        light: "same",
      }).parts.map((colour) => deltaE2000(scene.cardLab, colour.Lab));
    expect(Math.max(...read(scene.cards))).toBeLessThan(0.6);
    expect(Math.max(...read([]))).toBeGreaterThan(2);
  });

  test("a contrast curve of the camera: the chart notices and still reads well, a card alone cannot", () => {
    const bend = (linear: number): number => linear ** 1.25;
    const bent = photographChart(cameras[0], "D65", weights, 5, bend);
    const ask = (patches: typeof bent.patches) =>
      photoColours(bent.picture, {
        cards: bent.cards,
        patches,
        parts: bent.patches,
        white: weights.white,
        light: "same",
      });
    const median = (answer: ReturnType<typeof ask>) => {
      const errors = answer.parts.map((colour) => {
        const known = bent.patches.find(({ label }) => label === colour.label)!;
        return deltaE2000(known.Lab, colour.Lab);
      });
      return errors.sort((a, b) => a - b)[Math.floor(errors.length / 2)];
    };
    const whole = ask(bent.patches);
    expect(whole.fit?.tone).toBeLessThan(1);
    expect(median(whole)).toBeLessThanOrEqual(2);
    expect(median(ask([{ label: "card", circle: bent.cards[1], Lab: bent.cardLab }]))).toBeGreaterThan(
      median(whole),
    );
  });
});
