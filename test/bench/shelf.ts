import { type CalibratedShelf, calibrateShelf, usualShelfOptions } from "../../src/shelf/calibrateShelf.ts";
import { compileShelf } from "../../src/shelf/compiledShelf.ts";
import { usualPriors } from "../../src/shelf/priors.ts";
import { ShelfModel } from "../../src/shelf/shelfModel.ts";
import { simulateShelf } from "../shelf/simulateShelf.ts";
import { line, medianMs } from "./measure.ts";

const most = { whole: 60, more: 5 };

/** 13 pastes × 150 films × 36 wavelengths: the closed-form gradient beside differences, and whole calibrations. */
export async function benchShelf(): Promise<void> {
  const { shelf } = simulateShelf({ pastes: 13, films: 151, predicted: 0, seed: 3 });
  const first = {
    ...shelf,
    films: shelf.films.slice(0, 150),
    readings: shelf.readings.slice(0, 150),
  };
  const model = new ShelfModel(compileShelf(first, usualPriors[0]));
  const q = new Float64Array(model.compiled.size);
  const gradient = new Float64Array(q.length);
  const closed = await medianMs(8, () => void model.cost(q, gradient));
  const one = await medianMs(8, () => void model.cost(q));
  line(`shelf, gradient of ${q.length} unknowns (plain: differences)`, closed, one * (q.length + 1), "ms");
  let result: CalibratedShelf | undefined;
  const seconds = (from?: CalibratedShelf) => {
    const start = performance.now();
    result = from
      ? calibrateShelf(shelf, { ...usualShelfOptions, keep: 32, from: from.state })
      : calibrateShelf(first);
    return (performance.now() - start) / 1000;
  };
  const whole = seconds();
  const more = seconds(result);
  line(`shelf, 13 pastes and 150 films (plain: at most ${most.whole} s)`, whole, most.whole, "s");
  line(`shelf, one panel more (plain: at most ${most.more} s)`, more, most.more, "s");
}
