import { describe, expect, test } from "vitest";
import { keepPicture, PictureError, pictureLimits, pixelsOf } from "../../../src/controls/pictureDecode.ts";

type Paint = (context: CanvasRenderingContext2D) => void;

async function file(
  width: number,
  height: number,
  paint: Paint,
  type = "image/png",
  colorSpace: PredefinedColorSpace = "srgb",
): Promise<Blob> {
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  paint(canvas.getContext("2d", { colorSpace })!);
  return new Promise((done) => canvas.toBlob((blob) => done(blob!), type, 0.95));
}

/** Left half and right half of one colour each. */
const halves =
  (left: string, right: string): Paint =>
  (context) => {
    const { width, height } = context.canvas;
    context.fillStyle = left;
    context.fillRect(0, 0, width / 2, height);
    context.fillStyle = right;
    context.fillRect(width / 2, 0, width / 2, height);
  };

async function pixelAt(blob: Blob, x: number, y: number) {
  const kept = await keepPicture(blob, "test");
  const { width, height, data } = await pixelsOf(kept);
  const at = 4 * (Math.round(y * (height - 1)) * width + Math.round(x * (width - 1)));
  return { kept, pixel: [...data.slice(at, at + 3)] };
}

const near = (found: number[], wanted: number[], within: number) =>
  found.forEach((value, i) => expect(Math.abs(value - wanted[i])).toBeLessThanOrEqual(within));

describe("a picture that comes in", () => {
  test("PNG: every pixel as it was", async () => {
    const { kept, pixel } = await pixelAt(
      await file(120, 80, halves("rgb(181,22,40)", "rgb(118,119,120)")),
      0.2,
      0.5,
    );
    expect(pixel).toEqual([181, 22, 40]); // identity: PNG keeps all
    expect(kept).toMatchObject({ width: 120, height: 80, space: "srgb", from: { width: 120, height: 80 } });
    expect(kept.data.startsWith("data:image/png;base64,")).toBe(true);
  });

  test("JPEG: even patches within rounding", async () => {
    const { pixel } = await pixelAt(
      await file(320, 200, halves("rgb(181,22,40)", "rgb(118,119,120)"), "image/jpeg"),
      0.85,
      0.5,
    );
    near(pixel, [118, 119, 120], 2); // two encodings, a step each
  });

  test("a large noisy one is reduced until it fits, and its patches stay what they are", async () => {
    const noise: Paint = (context) => {
      halves("rgb(170,40,50)", "rgb(118,118,118)")(context);
      const image = context.getImageData(0, 0, context.canvas.width, context.canvas.height);
      let state = 7;
      for (let i = 0; i < image.data.length; i++) {
        if (i % 4 === 3) continue;
        state = (state * 1103515245 + 12345) % 2147483648;
        image.data[i] += (state / 2147483648 - 0.5) * 40;
      }
      context.putImageData(image, 0, 0);
    };
    const kept = await keepPicture(await file(2600, 1800, noise, "image/jpeg"), "large");
    expect(kept.data.length).toBeLessThanOrEqual(pictureLimits.text);
    expect(Math.max(kept.width, kept.height)).toBeLessThanOrEqual(pictureLimits.side);
    expect(kept.width / kept.height).toBeCloseTo(2600 / 1800, 2);
    expect(kept.from).toEqual({ width: 2600, height: 1800 });
    const { data, width, height } = await pixelsOf(kept);
    const mean = [0, 0, 0];
    let count = 0;
    for (let y = Math.round(height * 0.3); y < height * 0.7; y++) {
      for (let x = Math.round(width * 0.1); x < width * 0.4; x++, count++) {
        for (let c = 0; c < 3; c++) mean[c] += data[4 * (y * width + x) + c];
      }
    }
    near(
      mean.map((sum) => sum / count),
      [170, 40, 50],
      2,
    );
  });

  test("colours beyond sRGB are kept in the wider space; those of sRGB stay in it, full channels too", async () => {
    const wide = halves("color(display-p3 1 0 0)", "color(display-p3 0.5 0.5 0.5)");
    const p3 = await pixelAt(await file(120, 80, wide, "image/png", "display-p3"), 0.2, 0.5);
    expect(p3.kept.space).toBe("display-p3");
    near(p3.pixel, [255, 0, 0], 1);
    const plain = await pixelAt(await file(120, 80, halves("rgb(255,0,0)", "rgb(0,255,0)")), 0.2, 0.5);
    expect(plain.kept.space).toBe("srgb");
    expect(plain.pixel).toEqual([255, 0, 0]);
    // The same red, written with a profile of the wider space.
    const same = await pixelAt(
      await file(120, 80, halves("rgb(200,30,40)", "rgb(118,118,118)"), "image/png", "display-p3"),
      0.2,
      0.5,
    );
    expect(same.kept.space).toBe("srgb");
    near(same.pixel, [200, 30, 40], 1);
  });

  test("the turn that the camera noted is applied", async () => {
    const jpeg = new Uint8Array(
      await (await file(160, 80, halves("rgb(200,30,40)", "rgb(40,60,200)"), "image/jpeg")).arrayBuffer(),
    );
    // Exif with orientation 6: to be turned a quarter to the right. Source: Exif 2.32, tag 0x0112 (from memory).
    const exif = [
      ...[0xff, 0xe1, 0x00, 0x22, 0x45, 0x78, 0x69, 0x66, 0, 0],
      ...[0x4d, 0x4d, 0, 0x2a, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0],
    ];
    const turned = new Blob([jpeg.slice(0, 2), new Uint8Array(exif), jpeg.slice(2)], { type: "image/jpeg" });
    const { kept, pixel } = await pixelAt(turned, 0.5, 0.2);
    expect(kept.from).toEqual({ width: 80, height: 160 });
    near(pixel, [200, 30, 40], 6); // left became top
  });

  test("what is no picture, or too small to sample, is refused in words", async () => {
    await expect(keepPicture(new Blob(["hello"], { type: "image/png" }), "letter.png")).rejects.toThrow(
      /“letter\.png” could not be read as a picture\. JPEG and PNG always work/,
    );
    const tiny = await file(20, 300, halves("red", "blue"));
    await expect(keepPicture(tiny, "tiny.png")).rejects.toThrow(PictureError);
    await expect(keepPicture(tiny, "tiny.png")).rejects.toThrow(/only 20 × 300 px/);
  });
});
