import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { fromXYZ, type Picture } from "../../src/photo/pictureSpace.ts";
import { illuminantTable } from "../../src/tables/illuminants.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { encode } from "./encode.ts";

/**
 * A camera made up for tests: three smooth sensitivities, balance of the channels on the light of the scene (to a
 * degree), the 3×3 matrix of its maker (made for daylight), exposure, fall-off, noise, 8-bit sRGB.
 */
export interface Camera {
  /** Peak wavelength, nm, and standard deviation, nm, of red, green, blue. */
  readonly peaks: readonly [number, number, number];
  readonly widths: readonly [number, number, number];
  /** Share of the colour of the light that the camera balances out, 0…1. */
  readonly balance: number;
  /** Shot and read noise: standard deviation √(shot · value + read²) in linear light. */
  readonly shot: number;
  readonly read: number;
}

export interface Scene {
  /** Linear value of the perfect diffuser where the light is 1. */
  readonly exposure: number;
  /** Light at a place, 1 at the middle of the picture; x and y from −1 to 1. */
  lightAt(x: number, y: number): number;
  /** What the camera does to linear values for a livelier picture; the identity for a plain one. */
  bend(linear: number): number;
  readonly seed: number;
}

const nm = wavelengths(workingGrid);

/** Integrals of light × reflectance × sensitivity, perfect diffuser = 1 in each channel of `reference` light. */
function rawOf(camera: Camera, power: Float64Array, reflectance: ArrayLike<number>): number[] {
  return camera.peaks.map((peak, c) => {
    let sum = 0;
    for (let i = 0; i < nm.length; i++) {
      sum += power[i] * reflectance[i] * Math.exp(-0.5 * ((nm[i] - peak) / camera.widths[c]) ** 2);
    }
    return sum;
  });
}

function powerOf(light: string): Float64Array {
  const table = illuminantTable(light);
  return Float64Array.from(nm, (value) => table.power[Array.from(table.wavelengths).indexOf(value)]);
}

/**
 * The maker's matrix, row by row: balanced camera values to linear sRGB in daylight, least squares over `training`
 * reflectances, white kept white.
 */
function makersMatrix(camera: Camera, training: readonly ArrayLike<number>[]): Float64Array {
  const power = powerOf("D65");
  const white = rawOf(camera, power, new Float64Array(nm.length).fill(1));
  const weights = weightsFor("1931-2", "D65");
  const matrix = new Float64Array(9);
  // Row sums are 1 (white stays white): fit two differences per row.
  const inputs = training.map((R) => rawOf(camera, power, R).map((value, c) => value / white[c]));
  const outputs = training.map((R) => {
    const XYZ = [weights.x, weights.y, weights.z].map((w) => w.reduce((s, v, i) => s + v * R[i], 0) / 100);
    return [0, 1, 2].map(
      (c) =>
        fromXYZ.srgb[3 * c] * XYZ[0] * 100 +
        fromXYZ.srgb[3 * c + 1] * XYZ[1] * 100 +
        fromXYZ.srgb[3 * c + 2] * XYZ[2] * 100,
    );
  });
  for (let row = 0; row < 3; row++) {
    let aa = 0;
    let ab = 0;
    let bb = 0;
    let ay = 0;
    let by = 0;
    inputs.forEach((input, k) => {
      const a = input[0] - input[1];
      const b = input[2] - input[1];
      const y = outputs[k][row] - input[1];
      aa += a * a;
      ab += a * b;
      bb += b * b;
      ay += a * y;
      by += b * y;
    });
    const determinant = aa * bb - ab * ab;
    const first = (ay * bb - by * ab) / determinant;
    const last = (by * aa - ay * ab) / determinant;
    matrix.set([first, 1 - first - last, last], 3 * row);
  }
  return matrix;
}

/** Linear sRGB values that the camera gives for reflectances under even light of strength 1, before noise. */
export function cameraValues(
  camera: Camera,
  light: string,
  reflectances: readonly ArrayLike<number>[],
  training: readonly ArrayLike<number>[],
): number[][] {
  const matrix = makersMatrix(camera, training);
  const here = powerOf(light);
  const white = rawOf(camera, here, new Float64Array(nm.length).fill(1));
  const day = rawOf(camera, powerOf("D65"), new Float64Array(nm.length).fill(1));
  // Balanced fully: divided by the white of the scene; not at all: by the white of daylight (green kept).
  const divisors = white.map((value, c) => {
    const unbalanced = (day[c] * white[1]) / day[1];
    return value ** camera.balance * unbalanced ** (1 - camera.balance);
  });
  return reflectances.map((R) => {
    const balanced = rawOf(camera, here, R).map((value, c) => value / divisors[c]);
    return [0, 1, 2].map(
      (row) =>
        matrix[3 * row] * balanced[0] + matrix[3 * row + 1] * balanced[1] + matrix[3 * row + 2] * balanced[2],
    );
  });
}

/** Squares of a scene, in pixels, with the linear values that they have under even light. */
export interface Square {
  readonly x: number;
  readonly y: number;
  readonly size: number;
  readonly linear: readonly number[];
}

/** The photograph as 8-bit sRGB pixels on a mid-grey surround. */
export function photograph(
  squares: readonly Square[],
  width: number,
  height: number,
  camera: Camera,
  scene: Scene,
): Picture {
  const random = seededRandom(scene.seed);
  const data = new Uint8ClampedArray(4 * width * height);
  const owner = new Int16Array(width * height).fill(-1);
  squares.forEach((square, k) => {
    for (let row = square.y; row < square.y + square.size; row++) {
      owner.fill(k, row * width + square.x, row * width + square.x + square.size);
    }
  });
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const at = row * width + column;
      const linear = owner[at] < 0 ? [0.2, 0.2, 0.2] : squares[owner[at]].linear;
      const light = scene.exposure * scene.lightAt((2 * column) / width - 1, (2 * row) / height - 1);
      for (let c = 0; c < 3; c++) {
        const value = light * linear[c];
        const noisy = value + Math.sqrt(camera.shot * Math.max(value, 0) + camera.read ** 2) * normal(random);
        data[4 * at + c] = Math.round(255 * encode(Math.min(Math.max(scene.bend(Math.max(noisy, 0)), 0), 1)));
      }
      data[4 * at + 3] = 255;
    }
  }
  return { width, height, data, space: "srgb" };
}
