import { drawnCurves, posteriorsOf } from "../coating/jointDraws.ts";
import { judgedDifferenceInto } from "./judgedDifference.ts";
import { type PanelPaint, panelLab } from "./nextPour.ts";
import { isNeutral } from "./stepWords.ts";

/** Standard deviations of what a hand pours and sprays (common practice): each dose, the film build. */
const doseError = 0.04;
const buildError = 0.1;
/** What a panel scatters beside that: gloss, drying, mottle, in eye's units (common practice). */
const restError = 0.15;
/** Joint draws that are looked at: enough for a root mean square within a tenth or so. */
const looked = 32;

/**
 * Standard deviation of a panel's colour about what the film model says, in eye's units, as the root mean square of the
 * three axes: doses, film build, the given 1σ of K and S of every component (each taken as moving all wavelengths together, or
 * as drawn together where they were found together), and a rest. First order, by finite differences.
 */
export function panelDoubt(paint: PanelPaint, volumes: ArrayLike<number>): number {
  const Lab = panelLab(paint, volumes);
  const neutral = isNeutral(Lab);
  const change = new Float64Array(3);
  let square = 0;
  const add = (moved: Float64Array, share = 1): void => {
    judgedDifferenceInto(Lab, moved, neutral, change);
    for (let axis = 0; axis < 3; axis++) square += (share * change[axis] ** 2) / 3;
  };
  const { components, finish } = paint;
  const whole = Float64Array.from(volumes);
  components.forEach((component, j) => {
    if (whole[j] === 0) return;
    if (j !== paint.binderIndex) add(panelLab(paint, whole.with(j, whole[j] * (1 + doseError))));
    for (const name of ["absorption", "scattering"] as const) {
      if (component.joint) continue;
      const sigma = component[`${name}Sigma`];
      if (!sigma) continue;
      const raised = { ...component, [name]: component[name].map((value, k) => value + sigma[k]) };
      add(panelLab({ ...paint, components: components.with(j, raised) }, whole));
    }
  });
  for (const [posterior, draws] of posteriorsOf(components.filter((_, j) => whole[j] > 0))) {
    const count = Math.min(looked, draws);
    for (let k = 0; k < count; k++) {
      const drawn = components.map((one) =>
        one.joint?.posterior === posterior
          ? { ...one, ...drawnCurves(one, Math.floor((k * draws) / count)) }
          : one,
      );
      add(panelLab({ ...paint, components: drawn }, whole), 1 / count);
    }
  }
  if (finish.kind === "coats") {
    add(
      panelLab(
        { ...paint, finish: { ...finish, wetThickness: finish.wetThickness * (1 + buildError) } },
        whole,
      ),
    );
  }
  return Math.hypot(Math.sqrt(square), restError);
}
