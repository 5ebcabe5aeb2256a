/** A picture as kept inside a notebook: reduced, and as text. */
interface KeptPicture {
  /** data address, JPEG or PNG */
  readonly data: string;
  readonly width: number;
  readonly height: number;
  readonly space: "srgb" | "display-p3";
  readonly name: string;
  /** size of the file as it came, upright */
  readonly from: { readonly width: number; readonly height: number };
}

/** A kept picture that was taken elsewhere, handed to a cell by the event `bole-picture`. */
export interface HandedPicture {
  /** not looked at yet */
  readonly picture: unknown;
  /** Told when it is in the cell, with the reason when it could not be taken. */
  done(trouble?: string): void;
}

/** Pixels of a kept picture: red, green, blue, opacity, 0…255, row by row. */
export interface PicturePixels {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8ClampedArray;
  readonly space: "srgb" | "display-p3";
}

/** A picture that cannot be taken, with the words for the person. */
export class PictureError extends Error {
  override readonly name = "PictureError";
}

export const pictureLimits = {
  /** longest side kept, px */
  side: 1600,
  /** length of the data text kept */
  text: 400_000,
  /** shortest side that leaves room for circles, px */
  least: 40,
} as const;

const qualities = [0.92, 0.86, 0.8, 0.72] as const;

/**
 * Decodes a picture upright, in its own colours, and reduces it until it fits into a notebook. All of it happens in
 * this browser.
 *
 * @throws PictureError for a file that is no picture this browser can read
 */
export async function keepPicture(file: Blob, name: string): Promise<KeptPicture> {
  const bitmap = await decoded(file, name);
  try {
    const from = { width: bitmap.width, height: bitmap.height };
    if (Math.min(from.width, from.height) < pictureLimits.least) {
      throw new PictureError(
        `“${name}” is only ${from.width} × ${from.height} px. A picture of at least ${pictureLimits.least} px is needed.`,
      );
    }
    const space = usesWideColours(bitmap) ? "display-p3" : "srgb";
    let side: number = pictureLimits.side;
    for (;;) {
      const canvas = drawn(bitmap, side, space);
      const data = await encoded(canvas, file.type === "image/png");
      if (data) {
        const { width, height } = canvas;
        return { data, width, height, space, name: name.slice(0, 200), from };
      }
      side *= 0.8;
    }
  } finally {
    bitmap.close();
  }
}

/** Pixels of a kept picture. @throws PictureError when it cannot be decoded */
export async function pixelsOf(kept: KeptPicture): Promise<PicturePixels> {
  const bitmap = await decoded(blobOf(kept.data), kept.name);
  try {
    const canvas = drawn(bitmap, Math.max(kept.width, kept.height), kept.space);
    const { width, height } = canvas;
    const { data } = contextOf(canvas, kept.space).getImageData(0, 0, width, height, {
      colorSpace: kept.space,
    });
    return { width, height, data, space: kept.space };
  } finally {
    bitmap.close();
  }
}

async function decoded(blob: Blob, name: string): Promise<ImageBitmap> {
  try {
    // The turn that the camera noted is applied; colours are converted from the picture's own profile when drawn.
    return await createImageBitmap(blob, { imageOrientation: "from-image", premultiplyAlpha: "none" });
  } catch {
    throw new PictureError(
      `“${name}” could not be read as a picture. JPEG and PNG always work; save it as one of these and choose it again.`,
    );
  }
}

/** Reduced by the browser, in stored values rather than in light: that blurs edges, and even patches stay as they are. */
function drawn(bitmap: ImageBitmap, side: number, space: PredefinedColorSpace): HTMLCanvasElement {
  const scale = Math.min(1, side / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const context = contextOf(canvas, space);
  context.imageSmoothingQuality = "high";
  // What is transparent shows as white, as on paper.
  context.fillStyle = "#fff";
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return canvas;
}

function contextOf(canvas: HTMLCanvasElement, space: PredefinedColorSpace): CanvasRenderingContext2D {
  const context = canvas.getContext("2d", { colorSpace: space, willReadFrequently: true });
  if (!context) throw new PictureError("This browser gives no place to draw pictures in.");
  return context;
}

/**
 * Whether a picture holds colours beyond sRGB. Told from its pixels, drawn in the wider space: browsers do not tell which
 * profile a picture has. A picture in the wider space without such colours loses nothing when it is read as sRGB.
 */
function usesWideColours(bitmap: ImageBitmap): boolean {
  const canvas = drawn(bitmap, 500, "display-p3");
  const context = contextOf(canvas, "display-p3");
  // A browser without the wider space has drawn in sRGB.
  if (context.getContextAttributes?.().colorSpace !== "display-p3") return false;
  const { data } = context.getImageData(0, 0, canvas.width, canvas.height, { colorSpace: "display-p3" });
  let beyond = 0;
  for (let at = 0; at < data.length; at += 4) {
    const [r, g, b] = [light(data[at]), light(data[at + 1]), light(data[at + 2])];
    // Linear Display P3 to linear sRGB: both have the white D65. Source: CSS Color 4, sample code.
    const red = 1.2249 * r - 0.2249 * g;
    const green = -0.0421 * r + 1.0421 * g;
    const blue = -0.0196 * r - 0.0786 * g + 1.0983 * b;
    if (Math.min(red, green, blue) < -margin || Math.max(red, green, blue) > 1 + margin) beyond++;
  }
  return beyond > 0.001 * (data.length / 4);
}

/** Rounding to 8 bits in the wider space looks like this much beyond sRGB, at most. */
const margin = 0.02;

function light(code: number): number {
  const value = code / 255;
  return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
}

/** The drawing as a data text that is short enough, or undefined. */
async function encoded(canvas: HTMLCanvasElement, exact: boolean): Promise<string | undefined> {
  const tries: (readonly [type: string, quality?: number])[] = [
    ...(exact ? [["image/png"] as const] : []),
    ...qualities.map((quality) => ["image/jpeg", quality] as const),
  ];
  for (const [type, quality] of tries) {
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, type, quality));
    // Four signs of text hold three bytes.
    if (blob && (blob.size * 4) / 3 + 40 < pictureLimits.text) return dataText(blob);
  }
  return undefined;
}

function dataText(blob: Blob): Promise<string> {
  return new Promise((done, fail) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result as string);
    reader.onerror = () => fail(new PictureError("The picture could not be kept."));
    reader.readAsDataURL(blob);
  });
}

/** Not by fetch: the page's policy lets it fetch from its own server only. */
function blobOf(data: string): Blob {
  const comma = data.indexOf(",");
  const type = /^data:([a-z]+\/[a-z]+);base64$/.exec(data.slice(0, comma))?.[1];
  if (!type) throw new PictureError("The kept picture is damaged: choose the file again.");
  const binary = atob(data.slice(comma + 1));
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < bytes.length; i++) bytes[i] = binary.charCodeAt(i);
  return new Blob([bytes], { type });
}
