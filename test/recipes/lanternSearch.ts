import type { SearchRequest } from "../../src/recipes/search.ts";
import { binderIndex, coats, lights, poppySeen, rack, sheen, surface } from "./lanternMatch.ts";

/** The search of the lantern red over the whole rack, up to four pastes. */
export const lanternSearch: SearchRequest = {
  components: rack,
  binderIndex,
  limits: { maxLoading: 0.25 },
  finish: coats,
  target: { kind: "spectrum", seen: poppySeen },
  lights,
  surface,
  sheen,
};
