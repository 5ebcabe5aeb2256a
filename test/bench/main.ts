import { benchCalibration } from "./calibration.ts";
import { benchColourInput } from "./colourInput.ts";
import { benchFilms } from "./films.ts";
import { benchGround } from "./ground.ts";
import { benchReaders } from "./readers.ts";
import { benchRecompute } from "./recompute.ts";
import { benchSearch } from "./search.ts";
import { benchShelf } from "./shelf.ts";
import { benchStorage } from "./storage.ts";

console.log(
  "Each line: ours beside a plain baseline in the same run. A ratio above 1 means that ours is faster.\n",
);
await benchRecompute();
await benchFilms();
await benchCalibration();
await benchShelf();
await benchColourInput();
await benchReaders();
await benchGround();
await benchSearch();
await benchStorage();
