import { beforeEach } from "vitest";
import { few } from "../howMuch.ts";
import { isEveryday } from "./journeys.ts";

// A run stays short; the project's own checks go all journeys.
beforeEach(({ task, skip }) => {
  skip(few && !isEveryday(task.suite?.name, task.name), "gone with BOLE_THOROUGH=1");
});
