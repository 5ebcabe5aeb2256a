import type { ColourSample, LabSample, SpectralSample, XYZSample } from "../../src/exchange/colourSample.ts";

/** Sixteen wavelengths, 400 to 700 nm by 20 nm. */
export const nm = Array.from({ length: 16 }, (_, i) => 400 + 20 * i);

/** Reflectances invented for these tests, three decimals, so that every form can hold them. */
export const red = nm.map((at) => Number((0.05 + 0.5 / (1 + Math.exp((600 - at) / 15))).toFixed(3)));
export const blue = nm.map((at) => Number((0.06 + 0.3 * Math.exp(-(((at - 460) / 45) ** 2))).toFixed(3)));

export const redSample: SpectralSample = {
  kind: "spectrum",
  label: "poppy red",
  wavelengths: nm,
  values: red,
  specular: "included",
};
export const blueSample: SpectralSample = {
  kind: "spectrum",
  label: 'blue "deep", no. 2 <a&b>',
  wavelengths: nm,
  values: blue,
  specular: "included",
};
export const LabRed: LabSample = {
  kind: "Lab",
  label: "typed red",
  Lab: [43.21, 51.2, -28.5],
  observer: "1964-10",
  illuminant: "FL11",
  specular: "excluded",
};
export const XYZGrey: XYZSample = {
  kind: "XYZ",
  label: "dark grey",
  XYZ: [0.9, 0.95, 1.02],
  observer: "1931-2",
  illuminant: "D50",
};
export const allKinds: readonly ColourSample[] = [redSample, blueSample, LabRed, XYZGrey];

export const heading = { originator: "Bole tests", description: "invented samples", created: "2026-11-25" };
