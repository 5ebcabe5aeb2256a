import { aboveZero, atLeastZero, fraction, wholeNumber } from "../colour/checks.ts";

// How long the work takes: minutes of hands, minutes of waiting, and what can be done meanwhile.

/** How the gun moves. */
export interface GunStroke {
  /** width of the fan on the part, m */
  fanWidth: number;
  /** speed of the gun along the part, m/s */
  gunSpeed: number;
  /** share of each stroke that lies on the one before, 0 to below 1 */
  overlap: number;
}

/** Common practice: a fan of 20 cm, a third of a metre each second, half of every stroke on the one before. */
export const usualStroke: Readonly<GunStroke> = Object.freeze({
  fanWidth: 0.2,
  gunSpeed: 0.35,
  overlap: 0.5,
});

/**
 * Area that a gun covers in a minute of spraying.
 *
 * @returns m²/min, fan width · (1 − overlap) · speed
 * @throws RangeError for a value out of range
 * Source: geometry of overlapping strokes.
 */
export function coveringRate({ fanWidth, gunSpeed, overlap }: GunStroke): number {
  aboveZero("fan width", fanWidth, "m");
  aboveZero("gun speed", gunSpeed, "m/s");
  fraction("overlap", overlap);
  if (overlap === 1) throw new RangeError("overlap = 1: must be below 1, or the gun never moves on");
  return fanWidth * (1 - overlap) * gunSpeed * 60;
}

/**
 * Minutes for one coat on some pieces: laying the film, and turning and handing each piece.
 *
 * @param area of all of them, m²   @param rate m²/min   @param turning min for each piece
 * @throws RangeError for a value out of range
 */
export function coatMinutes(area: number, pieces: number, rate: number, turning: number): number {
  atLeastZero("area", area, "m²");
  atLeastZero("pieces", pieces);
  aboveZero("rate", rate, "m²/min");
  atLeastZero("turning", turning, "min");
  return area / rate + pieces * turning;
}

/** One coat: hands on each group of parts, then it flashes off. */
export interface CoatStep {
  readonly label: string;
  /** minutes of work for each group, in the order of the groups */
  readonly minutes: readonly number[];
  /** minutes until the next coat may follow */
  readonly flashOff: number;
}

/** A material laid in one or more coats; it is mixed before and the gun is cleaned after. */
export interface LayerStep {
  readonly layer: string;
  readonly setUp: number;
  readonly coats: readonly CoatStep[];
  /** how many of the coats each group gets, in the order of the groups; all of them when left out */
  readonly counts?: readonly number[];
  readonly cleanUp: number;
}

/** Hours of a working day. */
interface WorkingDay {
  /** minutes of work in a day, at least 1, up to 1440 */
  readonly length: number;
}

type BarKind = "bench" | "coat" | "flash-off" | "cure";

/** A stretch of time on the chart of the day; minutes of the clock since the first day began. */
export interface Bar {
  /** index of the group of parts; undefined for work at the bench */
  readonly group: number | undefined;
  readonly kind: BarKind;
  readonly layer: string;
  readonly label: string;
  readonly start: number;
  readonly end: number;
}

export interface WorkPlan {
  readonly bars: readonly Bar[];
  /** minutes of the clock from the start until the last gun is clean */
  readonly workEnds: number;
  /** minutes of the clock until the last part is cured */
  readonly cured: number;
  /** minutes with hands on the job */
  readonly handsOn: number;
  /** working minutes in which nothing could be done but wait */
  readonly waiting: number;
  /** working days touched */
  readonly days: number;
}

const minutesADay = 24 * 60;

/** Work that goes on longer than this is no job: a pace or an area is wrong. */
const mostWorkingDays = 1000;

/**
 * Time is counted in whole ticks of this many parts of a minute, 4 µs. Whole numbers are added without rounding, so that
 * the evening lies as far from the morning on the hundredth day as on the first.
 */
const ticks = 2 ** 24;
const ticksOf = (minutes: number) => Math.round(minutes * ticks);

/**
 * One person lays out the work: layer after layer, and within a layer the group with the fewest coats on among those that
 * are ready, so that one flashes off while another is sprayed. Work stops at the end of the working day and goes on the next
 * morning; flashing off and curing go on overnight.
 *
 * @param groups how many groups of parts there are   @param cure minutes after the last coat
 * @throws RangeError for a value out of range, or for work that takes more than 1000 working days
 */
export function planWork(
  layers: readonly LayerStep[],
  groups: number,
  cure: number,
  day: WorkingDay,
): WorkPlan {
  checkPlan(layers, groups, cure, day);
  const bars: Bar[] = [];
  const ready = new Float64Array(groups);
  const clock = new DayClock(ticksOf(day.length));
  let now = 0;
  let handsOn = 0;
  let laid = 0;
  const stretch = (bar: Pick<Bar, "group" | "kind" | "layer" | "label">, start: number, end: number) => {
    if (end > start) bars.push({ ...bar, start: start / ticks, end: end / ticks });
  };
  const work = (minutes: number, bar: Pick<Bar, "group" | "kind" | "layer" | "label">) => {
    const wanted = ticksOf(minutes);
    if (wanted === 0) return;
    const start = clock.atWork(now);
    now = clock.after(start, wanted);
    handsOn += minutes;
    laid += wanted;
    stretch(bar, start, now);
  };
  for (const { layer, setUp, coats, cleanUp, counts = all(groups, coats) } of layers) {
    if (coats.length === 0) continue;
    work(setUp, { group: undefined, kind: "bench", layer, label: `mix ${layer}` });
    const done = new Array<number>(groups).fill(0);
    for (let left = counts.reduce((sum, count) => sum + count, 0); left > 0; left--) {
      const group = next(ready, done, counts, now);
      now = Math.max(now, ready[group]);
      const coat = coats[done[group]++];
      work(coat.minutes[group], { group, kind: "coat", layer, label: coat.label });
      ready[group] = now + ticksOf(coat.flashOff);
      stretch({ group, kind: "flash-off", layer, label: `${coat.label}: flash-off` }, now, ready[group]);
    }
    work(cleanUp, { group: undefined, kind: "bench", layer, label: `clean up after ${layer}` });
  }
  let cured = now;
  if (layers.some(({ coats }) => coats.length > 0)) {
    for (let group = 0; group < groups; group++) {
      const end = ready[group] + ticksOf(cure);
      cured = Math.max(cured, end);
      stretch({ group, kind: "cure", layer: "", label: "cure" }, ready[group], end);
    }
  }
  return {
    bars,
    workEnds: now / ticks,
    cured: cured / ticks,
    handsOn,
    waiting: (clock.workingTime(now) - laid) / ticks,
    days: Math.ceil(now / ticks / minutesADay),
  };
}

const all = (groups: number, coats: readonly CoatStep[]) => new Array<number>(groups).fill(coats.length);

/** The group to go on with: the one that has been ready longest, or becomes ready first; one at least has coats to come. */
function next(ready: Float64Array, done: readonly number[], counts: readonly number[], now: number): number {
  let best = -1;
  for (let group = 0; group < ready.length; group++) {
    if (done[group] >= counts[group]) continue;
    // Among those ready now the one with fewest coats on, so that no group runs ahead.
    const better =
      best < 0 ||
      (ready[group] <= now && ready[best] <= now
        ? done[group] < done[best] || (done[group] === done[best] && ready[group] < ready[best])
        : ready[group] < ready[best]);
    if (better) best = group;
  }
  return best;
}

/** The clock of a shop that works so much of each day, from the first morning on; all times in whole ticks. */
class DayClock {
  static readonly #wholeDay = ticksOf(minutesADay);
  readonly #length: number;

  constructor(length: number) {
    this.#length = length;
  }

  /** The first working moment at or after a time. */
  atWork(time: number): number {
    const inDay = time % DayClock.#wholeDay;
    return inDay < this.#length ? time : time - inDay + DayClock.#wholeDay;
  }

  /** When so much work ends that begins at a working moment. @throws RangeError for work without end */
  after(start: number, work: number): number {
    const inDay = start % DayClock.#wholeDay;
    const total = inDay + work;
    // What fills a day ends in its evening, not in the next morning; both divisions are of whole numbers without rest.
    const last = total % this.#length || this.#length;
    const end = start - inDay + ((total - last) / this.#length) * DayClock.#wholeDay + last;
    if (!(end <= mostWorkingDays * DayClock.#wholeDay)) {
      throw new RangeError(
        `the work takes more than ${mostWorkingDays} working days: check the areas, the pace and the hours of work in a day`,
      );
    }
    return end;
  }

  /** Working time that has passed at a time. */
  workingTime(time: number): number {
    const inDay = time % DayClock.#wholeDay;
    return ((time - inDay) / DayClock.#wholeDay) * this.#length + Math.min(inDay, this.#length);
  }
}

/** Minutes of the clock turned into a line without nights, for a chart. */
export function withoutNights(time: number, dayLength: number): number {
  const day = Math.floor(time / minutesADay);
  return day * dayLength + Math.min(time - day * minutesADay, dayLength);
}

function checkPlan(layers: readonly LayerStep[], groups: number, cure: number, day: WorkingDay): void {
  wholeNumber("groups", groups, 1);
  atLeastZero("cure", cure, "min");
  if (!(day.length >= 1 && day.length <= minutesADay))
    throw new RangeError(
      `length of the working day = ${day.length} min: must be at least 1 and at most ${minutesADay}`,
    );
  for (const { layer, setUp, coats, cleanUp, counts = all(groups, coats) } of layers) {
    if (counts.length !== groups)
      throw new RangeError(`${layer}: coats of ${counts.length} groups are given, not ${groups}`);
    for (const count of counts) {
      wholeNumber(`coats of ${layer}`, count);
      if (count > coats.length)
        throw new RangeError(`coats of ${layer} = ${count}: at most ${coats.length} are laid`);
    }
    atLeastZero(`set-up of ${layer}`, setUp, "min");
    atLeastZero(`clean-up after ${layer}`, cleanUp, "min");
    for (const { label, minutes, flashOff } of coats) {
      if (minutes.length !== groups)
        throw new RangeError(`${label}: minutes for ${minutes.length} groups are given, not ${groups}`);
      for (const each of minutes) atLeastZero(label, each, "min");
      atLeastZero(`flash-off of ${label}`, flashOff, "min");
    }
  }
}

/**
 * Reads a time of day such as "8:00" or "08.30".
 *
 * @returns minutes after midnight
 * @throws RangeError naming what is allowed
 */
export function readClock(text: string): number {
  const match = /^\s*(\d{1,2})\s*[:.h]\s*(\d{2})\s*$/.exec(text);
  const [hour, minute] = match ? [Number(match[1]), Number(match[2])] : [99, 99];
  if (hour > 23 || minute > 59)
    throw new RangeError(`"${text}" is not a time of day: write it as 08:00, from 00:00 to 23:59`);
  return 60 * hour + minute;
}

/** Time of day, and which day when it is not the first: "14:05", "09:30 on day 2". */
export function clockText(startOfDay: number, minutes: number): string {
  const total = Math.round(startOfDay + minutes);
  const day = Math.floor(total / minutesADay);
  const rest = total - day * minutesADay;
  const text = `${String(Math.floor(rest / 60)).padStart(2, "0")}:${String(rest % 60).padStart(2, "0")}`;
  return day === 0 ? text : `${text} on day ${day + 1}`;
}
