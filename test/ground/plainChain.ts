import type { GroundJob, GroundPoint } from "../../src/ground/job.ts";
import { culoriDeltaE2000, plainFilm, plainLab, plainMix, plainSeen } from "../bench/plain.ts";

/**
 * The whole chain at one point in the printed formulas, fresh arrays at every step: difference of each part.
 */
export function plainChain(job: GroundJob, point: GroundPoint): number[] {
  const { ratio, thirdShare, coats, loading, colourBuild, basecoatBuild } = point;
  const { surface, sheen, weights } = job.eye;
  const rest = job.paints.length > 2 ? 1 - thirdShare : 1;
  const base = plainMix(
    job.paints,
    [rest * (1 - ratio), rest * ratio, thirdShare].slice(0, job.paints.length),
  );
  const red = plainMix(job.recipe.components, plainLoaded(job, loading));
  let wet = 0;
  for (let c = 0; c < coats; c++) wet += job.coatWets[Math.min(c, job.coatWets.length - 1)];
  return job.substrates.map((part) => {
    const ground = plainFilm(
      base.K,
      base.S,
      basecoatBuild * job.basecoatWet * base.volumeSolids,
      Array.from(part),
    );
    const R = plainFilm(red.K, red.S, colourBuild * wet * red.volumeSolids, ground);
    const seen = plainSeen(R, surface.externalReflection, surface.internalReflection, sheen);
    return culoriDeltaE2000(job.target, plainLab(seen, weights));
  });
}

function plainLoaded({ recipe }: GroundJob, loading: number | undefined): number[] {
  const volumes = Array.from(recipe.volumes);
  if (loading === undefined) return volumes;
  const isPaste = (j: number) => recipe.components[j].role === "paste";
  const sum = (wanted: boolean) =>
    volumes.reduce((total, v, j) => total + (isPaste(j) === wanted ? v : 0), 0);
  return volumes.map((v, j) => (isPaste(j) ? (v * loading) / sum(true) : (v * (1 - loading)) / sum(false)));
}
