import { deltaE2000 } from "../../../src/colour/difference.ts";
import { tradeWords } from "../../../src/colour/tradeWords.ts";
import { GroundChain } from "../../../src/ground/chain.ts";
import { type GroundCoverage, groundJobOf, groundPointOf } from "../../../src/ports/groundJob.ts";

/** A place that the basecoat has missed, on one part. */
interface BareSpot {
  readonly name: string;
  /** ΔE00 to the rest of the part, which has its basecoat. */
  readonly besideRest: number;
  /** Difference to the target, in the viewing cell's formula. */
  readonly toTarget: number;
  /** What the spot is beside the rest, in words. */
  readonly words: string;
  readonly XYZ: Float64Array;
  readonly restXYZ: Float64Array;
}

export interface BareSpots {
  readonly spots: readonly BareSpot[];
  /** Index of the spot that shows most. */
  readonly worst: number;
  /** Least share of the planned basecoat from which on every part passes; undefined when none up to the plan does. */
  readonly leastBuild: number | undefined;
}

const builds = Array.from({ length: 41 }, (_, k) => k / 40);

/** What becomes of a spot that the basecoat misses, and how thin the basecoat may get. */
export function bareSpotsOf(coverage: GroundCoverage): BareSpots {
  const spots = coverage.parts.map(({ substrate, painted, bare }): BareSpot => {
    return {
      name: substrate.name,
      besideRest: deltaE2000(painted.Lab, bare.Lab),
      toTarget: bare.difference ?? Number.NaN,
      words: tradeWords(painted.Lab, bare.Lab).text,
      XYZ: bare.XYZ,
      restXYZ: painted.XYZ,
    };
  });
  const job = groundJobOf(coverage);
  const chain = new GroundChain(job);
  const point = groundPointOf(coverage, job);
  const passes = builds.map(
    (basecoatBuild) => chain.at({ ...point, basecoatBuild }) <= coverage.viewing.tolerance,
  );
  const lastMiss = passes.lastIndexOf(false);
  let worst = 0;
  for (let p = 1; p < spots.length; p++) if (spots[p].besideRest > spots[worst].besideRest) worst = p;
  return { spots, worst, leastBuild: builds[lastMiss + 1] };
}
