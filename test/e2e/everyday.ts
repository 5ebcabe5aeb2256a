import { beforeEach } from "vitest";
import { thorough } from "../howMuch.ts";
import { isEveryday } from "./journeys.ts";

// `npm test` by itself goes the main journeys, so that a run stays short; the project's own checks go all of them.
const few = process.env.npm_lifecycle_event === "test" && !thorough;

beforeEach(({ task, skip }) => {
  skip(few && !isEveryday(task.suite?.name, task.name), "gone with BOLE_THOROUGH=1");
});
