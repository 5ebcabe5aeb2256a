import { longTask } from "../tasks/longTask.ts";
import type { CalibratedShelf, ShelfOptions } from "./calibrateShelf.ts";
import type { Shelf } from "./shelf.ts";

/** Everything that a calibration of the shelf takes. */
export interface ShelfRequest {
  readonly shelf: Shelf;
  readonly options: ShelfOptions;
}

export const shelfTask = longTask<ShelfRequest, CalibratedShelf>("shelf");
