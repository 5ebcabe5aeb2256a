import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { usualSurface } from "../../src/optics/interface.ts";
import type { Picture } from "../../src/photo/pictureSpace.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cameraValues } from "./cameraModel.ts";
import { cameras, munsell } from "./chartScene.ts";
import { encode } from "./encode.ts";

const width = 720;
const height = 480;

/** What a camera off the highlight sees of the unfaded red: without the surface reflection. */
const seat = lanternRoom.target.reflectance.map((value) => value - usualSurface.externalReflection);
const flat = (value: number) => new Float64Array(36).fill(value);

/** The true colour of the seat in the picture: CIELAB for D65 and the 10° observer, surface reflection excluded. */
export const seatLab = reflectanceToLab(seat, weightsFor("1964-10", "D65"), new Float64Array(3));

/** Places in the picture, px. */
export const seatPlaces = {
  leftCard: { x: 110, y: 240, radius: 40 },
  rightCard: { x: 640, y: 240, radius: 34 },
  seat: { x: 385, y: 250, radius: 60 },
  glint: { x: 470, y: 130, radius: 22 },
  shadow: { x: 385, y: 455, radius: 18 },
} as const;

/**
 * An invented photograph: the underside of a Lantern Room seat pad between two pieces of grey card (18 %) on a bench,
 * grained, with a glint, a deep shadow below, and a light that falls off to the left.
 */
export function seatPhotograph(light = "D65"): Picture {
  const random = seededRandom(11);
  const camera = cameras[0];
  const [seatLinear, cardLinear, rimLinear, benchLinear] = cameraValues(
    camera,
    light,
    [seat, flat(0.18), flat(0.8), flat(0.11)],
    munsell.map((chip) => chip.reflectance),
  );
  const grain = grainOf(random);
  const data = new Uint8ClampedArray(4 * width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = 4 * (y * width + x);
      const inSeat = roundedInside(x, y, 210, 60, 350, 360, 46);
      const card = inside(x, y, 40, 140, 140, 200) || inside(x, y, 590, 140, 100, 200);
      const rim = inside(x, y, 34, 134, 152, 212) || inside(x, y, 584, 134, 112, 212);
      const linear = inSeat ? seatLinear : card ? cardLinear : rim ? rimLinear : benchLinear;
      const glint = inSeat
        ? 1.6 * Math.exp(-((x - seatPlaces.glint.x) ** 2 + (y - seatPlaces.glint.y) ** 2) / 500)
        : 0;
      const texture = inSeat ? 1 + 0.1 * grain[(y % 64) * 64 + (x % 64)] : 1;
      const shadow = !inSeat && !rim && y > 425 ? 0.02 : 1;
      const strength = 0.82 * (0.86 + (0.28 * x) / width) * texture * shadow;
      for (let c = 0; c < 3; c++) {
        const value = strength * linear[c] + glint;
        const noisy = value + Math.sqrt(camera.shot * Math.max(value, 0) + camera.read ** 2) * normal(random);
        data[at + c] = Math.round(255 * encode(Math.min(Math.max(noisy, 0), 1)));
      }
      data[at + 3] = 255;
    }
  }
  return { width, height, data, space: "srgb" };
}

/** A tile of leather-like grain, −1…1, that joins at its edges. */
function grainOf(random: () => number): Float64Array {
  const size = 64;
  const raw = Float64Array.from({ length: size * size }, () => normal(random));
  const tile = new Float64Array(size * size);
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      let sum = 0;
      for (let dy = -2; dy <= 2; dy++) {
        for (let dx = -2; dx <= 2; dx++)
          sum += raw[((y + dy + size) % size) * size + ((x + dx + size) % size)];
      }
      tile[y * size + x] = Math.max(-1, Math.min(1, sum / 8));
    }
  }
  return tile;
}

function inside(x: number, y: number, left: number, top: number, wide: number, high: number): boolean {
  return x >= left && x < left + wide && y >= top && y < top + high;
}

function roundedInside(
  x: number,
  y: number,
  left: number,
  top: number,
  wide: number,
  high: number,
  corner: number,
): boolean {
  const dx = Math.max(left + corner - x, x - (left + wide - corner), 0);
  const dy = Math.max(top + corner - y, y - (top + high - corner), 0);
  return dx * dx + dy * dy <= corner * corner;
}
