import { type CircleSample, judgedSample } from "../../../src/photo/circleSample.ts";
import type { PictureSpace } from "../../../src/photo/pictureSpace.ts";
import type { KeptCircle, KeptStatistics } from "./picture.ts";

/** What a kept circle says; undefined before it was sampled. */
export function sampleOf(
  { x, y, radius, sample }: KeptCircle,
  space: PictureSpace,
): CircleSample | undefined {
  if (!sample) return undefined;
  return judgedSample(
    {
      ...sample,
      circle: { x, y, radius },
      rgb: Float64Array.from(sample.rgb),
      spread: Float64Array.from(sample.spread),
    },
    space,
  );
}

/** The figures of a sample as kept: as many digits as pixels can tell. */
export function statisticsToKeep(sample: CircleSample): KeptStatistics {
  const round = (value: number) => Number(value.toPrecision(7));
  const three = (values: Float64Array): [number, number, number] => [
    round(values[0]),
    round(values[1]),
    round(values[2]),
  ];
  return {
    rgb: three(sample.rgb),
    spread: three(sample.spread),
    count: sample.count,
    clipped: round(sample.clipped),
    shadowed: round(sample.shadowed),
    saturated: round(sample.saturated),
  };
}
