/** CIELAB of L*, chroma and hue angle in degrees. @returns `out` */
export function LChToLab(LCh: ArrayLike<number>, out: Float64Array): Float64Array {
  const C = LCh[1];
  const h = (LCh[2] * Math.PI) / 180;
  out[0] = LCh[0];
  out[1] = C * Math.cos(h);
  out[2] = C * Math.sin(h);
  return out;
}
