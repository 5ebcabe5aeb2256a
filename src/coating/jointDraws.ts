import { ofLength } from "../colour/checks.ts";

/**
 * K and S of a component as drawn from a posterior that it shares with other components: draw i of each belongs together, so
 * that what is known of two together (their sum in a mixture, say) stays known.
 */
export interface JointDraws {
  /** Name of the posterior: draws of two posteriors have nothing to do with each other. */
  readonly posterior: string;
  /** For each draw ln of K over the component's own K at each wavelength, then the same of S. */
  readonly logs: readonly Float64Array[];
}

/** @throws TypeError naming what has not the length it should have */
export function checkJointDraws(of: string, { logs }: JointDraws, points: number): void {
  if (logs.length === 0) throw new TypeError(`${of}: joint draws are empty, at least 1 is needed`);
  for (const draw of logs) ofLength(`${of}: a joint draw`, draw, 2 * points);
}

interface MaybeDrawn {
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
  readonly joint?: JointDraws;
}

/** K and S of a component in one draw, its own where it carries none. */
export function drawnCurves({ absorption, scattering, joint }: MaybeDrawn, draw: number) {
  if (!joint) return { absorption, scattering };
  const logs = joint.logs[draw % joint.logs.length];
  const points = absorption.length;
  return {
    absorption: absorption.map((K, i) => K * Math.exp(logs[i])),
    scattering: scattering.map((S, i) => S * Math.exp(logs[points + i])),
  };
}

/** The posteriors that components were drawn from, each with the number of its draws, in the order in which they come. */
export function posteriorsOf(components: readonly MaybeDrawn[]): Map<string, number> {
  const found = new Map<string, number>();
  for (const { joint } of components) {
    if (joint && !found.has(joint.posterior)) found.set(joint.posterior, joint.logs.length);
  }
  return found;
}
