import * as v from "valibot";
import type { JointDraws } from "../coating/jointDraws.ts";
import { workingGrid } from "../colour/grid.ts";

// Draws of K and S that belong together, in the form kept inside a notebook: one line of whole numbers for each draw, ln of
// the factors in hundredths, each as the step from the one before, since curves are smooth and small steps take few signs.

const points = 2 * workingGrid.length;
/** More draws say no more and would make a notebook heavy. */
const mostDraws = 256;
/** A step of half a hundredth, 0.3 % (1σ), is far below what any film tells. */
const parts = 100;
/** ln of a factor on K or S: e^30 is far beyond any paint. */
const most = 30;

const line = v.pipe(
  v.string(),
  v.maxLength(12 * points),
  v.check((text) => {
    const logs = read(text);
    return logs.length === points && logs.every((log) => Math.abs(log) <= most);
  }, `a draw is ${points} whole numbers, steps of ln K and ln S in hundredths`),
);

/** Joint draws of a component, as kept. */
export const savedJointSchema = v.strictObject({
  posterior: v.pipe(v.string(), v.minLength(1), v.maxLength(60)),
  draws: v.pipe(v.array(line), v.minLength(1), v.maxLength(mostDraws)),
});

export type SavedJoint = v.InferOutput<typeof savedJointSchema>;

/** Saved draws as typed arrays. */
export function jointFrom({ posterior, draws }: SavedJoint): JointDraws {
  return { posterior, logs: draws.map(read) };
}

/** Draws in the form kept. */
export function jointToSave({ posterior, logs }: JointDraws): SavedJoint {
  return {
    posterior,
    draws: logs.map((draw) => {
      let before = 0;
      return Array.from(draw, (log) => {
        const now = Math.round(parts * log);
        const step = now - before;
        before = now;
        return step;
      }).join(" ");
    }),
  };
}

/** Numbers of a line; NaN from where it is none. */
function read(text: string): Float64Array {
  let sum = 0;
  return Float64Array.from(text.split(" "), (step) => {
    sum += /^-?\d+$/.test(step) ? Number(step) : Number.NaN;
    return sum / parts;
  });
}
