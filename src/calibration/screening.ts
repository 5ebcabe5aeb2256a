import { type Add, type Finding, gathering, listOf } from "./finding.ts";
import type { CalibrationProblem, Drawdown, Ground, Reading } from "./problem.ts";
import { contradictionOf, leastContrast, mean } from "./selfConsistency.ts";

/** A problem cleared of readings that cannot be, and what was found on the way. */
interface Screening {
  readonly problem: CalibrationProblem;
  readonly findings: readonly Finding[];
}

/** Reflectance factors outside this are no readings of paint. */
const allowed = { least: -0.05, most: 1.3 } as const;

/** A film is set aside when more than this share of its wavelengths contradict themselves. */
const contradiction = 0.2;

/** Zero is met by instruments within this much (common practice). */
const belowZero = 0.005;

/** What must hold for a difference to be more than noise, in standard deviations. */
const beyondNoise = 4;

/**
 * Looks at the readings before any fitting: copies counted once, impossible values left out, and films set aside whose
 * two readings contradict each other (over white darker than over black; lighter or darker than any film can be).
 *
 * @throws RangeError for fractions that are not shares of a film
 */
export function screen(problem: CalibrationProblem): Screening {
  const { findings, add } = gathering();
  for (const { label, fractions } of problem.drawdowns) checkFractions(label, fractions);

  tellDarkGrounds(problem, add);
  let drawdowns = problem.drawdowns.flatMap((drawdown) => possible(drawdown, problem, add));
  drawdowns = withoutCopies(drawdowns, problem.grounds, add);
  drawdowns = withLabelsOfTheirOwn(drawdowns, add);
  drawdowns = drawdowns.filter((drawdown) => {
    const found = contradictionOf(drawdown, problem);
    if (found !== undefined) add(found.code, "caution", found.text, [drawdown.label]);
    return found === undefined;
  });

  const painted = drawdowns.filter((drawdown) => drawdown.fractions[0] > 0);
  if (painted.length === 0) {
    add(
      "nothing-to-fit",
      "refused",
      "No usable drawdown holds the new paste: draw down the masstone and three let-downs over a black and white card.",
    );
  }
  const used = new Set(drawdowns.flatMap(({ readings }) => readings.map(({ ground }) => ground)));
  const seenThrough = drawdowns.filter(({ thickness }) => thickness.kind !== "opaque");
  if (used.size > 1 && seenThrough.length > 0) {
    const means = [...used].map((g) => mean(problem.grounds[g].reflectance));
    if (Math.max(...means) - Math.min(...means) < leastContrast) {
      add(
        "grounds-alike",
        "caution",
        `The bare grounds differ by only ${(Math.max(...means) - Math.min(...means)).toFixed(2)} in reflectance, ` +
          "so they hardly tell absorption from scattering: check that the bare black and white readings are right.",
      );
    }
  }
  return { problem: { ...problem, drawdowns }, findings };
}

function checkFractions(label: string, fractions: Float64Array): void {
  let sum = 0;
  for (const share of fractions) {
    if (!(share >= 0 && share <= 1)) {
      throw new RangeError(`${label}: share of a component = ${share}: must be from 0 to 1`);
    }
    sum += share;
  }
  if (Math.abs(sum - 1) > 1e-6)
    throw new RangeError(`${label}: the shares of the components add up to ${sum}, not 1`);
}

/** The drawdown without readings that hold impossible values; nothing when none is left. */
function possible(drawdown: Drawdown, problem: CalibrationProblem, add: Add): Drawdown[] {
  const { label, thickness } = drawdown;
  if (thickness.kind === "known" && !(thickness.value > 0 && Number.isFinite(thickness.value))) {
    add(
      "impossible-values",
      "caution",
      `${label}: its thickness is ${Number.isFinite(thickness.value) ? thickness.value : "no number"}, but has to be above 0; it is left out.`,
      [label],
    );
    return [];
  }
  const readings = drawdown.readings.filter(({ reflectance, sigma }) =>
    reflectance.every(
      (value, i) =>
        sigma[i] === Number.POSITIVE_INFINITY || (value >= allowed.least && value <= allowed.most),
    ),
  );
  const lost = drawdown.readings.length - readings.length;
  if (lost > 0) {
    add(
      "impossible-values",
      "caution",
      `${label}: ${lost === 1 ? "a reading holds" : `${lost} readings hold`} values outside ${allowed.least} to ` +
        `${allowed.most} and ${lost === 1 ? "is" : "are"} left out.`,
      [label],
    );
  }
  const bad = readings.find(({ ground }) => problem.grounds[ground] === undefined);
  if (bad !== undefined)
    throw new RangeError(`${label}: ground number ${bad.ground} is not among the grounds`);
  if (readings.length === 0) return [];
  tellBelowSurface({ ...drawdown, readings }, problem, add);
  return [{ ...drawdown, readings }];
}

function tellBelowSurface({ label, readings }: Drawdown, problem: CalibrationProblem, add: Add): void {
  const k1 = problem.surface.externalReflection;
  const low = readings.some(({ reflectance, sigma, specular }) => {
    if (specular === "excluded") return false;
    const below = reflectance.filter((value, i) => value < k1 - beyondNoise * sigma[i]).length;
    return below > contradiction * reflectance.length;
  });
  if (!low) return;
  add(
    "below-surface-reflection",
    "caution",
    `${label}: marked as specular included, but it reads below the surface reflection of ${k1}: the specular part was ` +
      "probably excluded.",
    [label],
  );
}

/** A bare card sends back at least what its surface does, where that was measured with it; and never less than nothing. */
function tellDarkGrounds({ grounds, surface }: CalibrationProblem, add: Add): void {
  const k1 = surface.externalReflection;
  for (const { name, reflectance, mode, sigma } of grounds) {
    const share = (least: number) =>
      reflectance.filter((value, i) => value < least - beyondNoise * sigma[i]).length / reflectance.length;
    if (share(-belowZero) > contradiction) {
      add(
        "impossible-values",
        "refused",
        `The bare ground ${name} reads below 0 (${mean(reflectance).toFixed(3)} on average), which nothing reflects: check the ` +
          "black calibration and read the card again.",
      );
    } else if (mode === "included" && share(k1 - belowZero) > contradiction) {
      add(
        "below-surface-reflection",
        "caution",
        `The bare ground ${name} is marked as specular included, but it reads ${mean(reflectance).toFixed(3)}, below the ` +
          `surface reflection of ${k1}: the specular part was probably excluded, or the card was not read.`,
      );
    }
  }
}

/** Readings equal to the last digit are copies: inside one film counted once, in two films the later one goes. */
function withoutCopies(drawdowns: Drawdown[], grounds: readonly Ground[], add: Add): Drawdown[] {
  const seen: { label: string; reading: Reading }[] = [];
  return drawdowns.flatMap((drawdown) => {
    const readings: Reading[] = [];
    const copies = new Set<string>();
    for (const reading of drawdown.readings) {
      const twin = seen.find((other) => sameCurve(other.reading.reflectance, reading.reflectance));
      if (twin === undefined) {
        seen.push({ label: drawdown.label, reading });
        readings.push(reading);
        continue;
      }
      const own = twin.label === drawdown.label;
      const sameGround = twin.reading.ground === reading.ground;
      const where = sameGround
        ? `over ${grounds[reading.ground].name}`
        : `over ${grounds[twin.reading.ground].name} and over ${grounds[reading.ground].name}`;
      if (own) {
        add(
          "duplicate-reading",
          sameGround ? "note" : "caution",
          `${drawdown.label}: the same reading appears twice (${where}); it counts once.`,
          [drawdown.label],
        );
      } else copies.add(twin.label);
    }
    if (copies.size > 0) {
      const names = [...copies, drawdown.label];
      add(
        "duplicate-reading",
        "caution",
        `${listOf(names)} hold the same reading to the last digit: one is a copy. That of ${drawdown.label} is left out.`,
        names,
      );
    }
    return readings.length === 0 ? [] : [{ ...drawdown, readings }];
  });
}

function sameCurve(a: Float64Array, b: Float64Array): boolean {
  return a.length === b.length && a.every((value, i) => value === b[i]);
}

function withLabelsOfTheirOwn(drawdowns: Drawdown[], add: Add): Drawdown[] {
  const count = new Map<string, number>();
  const twice = new Set<string>();
  const result = drawdowns.map((drawdown) => {
    const number = (count.get(drawdown.label) ?? 0) + 1;
    count.set(drawdown.label, number);
    if (number === 1) return drawdown;
    twice.add(drawdown.label);
    return { ...drawdown, label: `${drawdown.label} (${number})` };
  });
  if (twice.size > 0) {
    const names = [...twice];
    add(
      "same-label",
      "caution",
      `Several films are labelled ${listOf(names)}; the later ones were numbered.`,
      names,
    );
  }
  return result;
}
