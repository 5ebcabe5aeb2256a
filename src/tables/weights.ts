import { workingGrid } from "../colour/grid.ts";
import type { ObserverName } from "../colour/observer.ts";
import { type TristimulusWeights, tristimulusWeights } from "../colour/weights.ts";
import { illuminantName, illuminantTable } from "./illuminants.ts";
import { observerTable } from "./observers.ts";

const made = new Map<string, TristimulusWeights>();

/**
 * Tristimulus weights of an observer and a light on the working grid; made once, the same object ever after.
 * @param illuminant as in `illuminantNames`, or "F2", "F11" …
 * @throws RangeError for an unknown observer or light
 */
export function weightsFor(observer: ObserverName, illuminant: string): TristimulusWeights {
  const name = illuminantName(illuminant);
  const key = `${observer} ${name}`;
  let weights = made.get(key);
  if (weights === undefined) {
    weights = tristimulusWeights(observerTable(observer), illuminantTable(name), workingGrid);
    made.set(key, weights);
  }
  return weights;
}
