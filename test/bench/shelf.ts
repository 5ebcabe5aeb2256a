import { seededRandom } from "../../src/fit/seededRandom.ts";
import { type PanelsSay, say } from "../../src/ledger/say.ts";
import { usualSurface } from "../../src/optics/interface.ts";
import { type CalibratedShelf, calibrateShelf, usualShelfOptions } from "../../src/shelf/calibrateShelf.ts";
import { compileShelf } from "../../src/shelf/compiledShelf.ts";
import { usualPriors } from "../../src/shelf/priors.ts";
import { ShelfModel } from "../../src/shelf/shelfModel.ts";
import { componentSets } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cardInternal, type Pour, simulatePanels, trueComponents } from "../ledger/simulatePanels.ts";
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
  sayOfLedger();
}

/** The whole answer of a ledger of 150 panels of 13 pastes, with panels planned for a job; and of one panel more. */
function sayOfLedger(): void {
  const rack = componentSets["Lantern Room rack"]();
  const pastes = rack.filter(({ role }) => role === "paste").map(({ id }) => id);
  const truth = { components: trueComponents(rack, 0.25, 3) };
  const random = seededRandom(5);
  const pours = Array.from({ length: 151 }, (_, k): Pour => {
    const parts: Record<string, number> = { [pastes[k % pastes.length]]: 4 + 12 * random() };
    if (k >= pastes.length) parts[pastes[Math.floor(random() * pastes.length)]] = 4 + 12 * random();
    return {
      label: `panel ${k + 1}`,
      parts: { ...parts, binder: 80 },
      ground: k % 3 ? "white card" : "black card",
    };
  });
  const panels = simulatePanels(truth, pours, 7).map((panel, k) => ({ id: `p${k}`, panel }));
  const recipe = {
    components: rack.filter(({ id }) => ["pr254", "po73", "pw6", "binder"].includes(id)),
    volumes: [1, 16, 4, 80],
  };
  const job = {
    ground: cardInternal("black card"),
    layers: [
      { parts: recipe.components.map(({ id }, k) => ({ component: id, amount: recipe.volumes[k] / 4 })) },
    ],
  };
  const request = {
    components: rack,
    surface: usualSurface,
    weights: weightsFor("1964-10", "D65"),
    seed: 1,
    keep: 64,
    recipe,
    job,
  };
  let said: PanelsSay | undefined;
  const seconds = (count: number) => {
    const start = performance.now();
    said = say({ ...request, panels: panels.slice(0, count), from: said?.state, errors: said?.errors });
    return (performance.now() - start) / 1000;
  };
  line(
    `panels say, 13 pastes and 150 panels (plain: at most ${most.whole} s)`,
    seconds(150),
    most.whole,
    "s",
  );
  line(`panels say, one panel more (plain: at most ${most.more} s)`, seconds(151), most.more, "s");
}
