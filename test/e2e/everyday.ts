import { afterAll, afterEach, beforeEach } from "vitest";
import { few } from "../howMuch.ts";
import { beginFile, endFile, endTest } from "./harness.ts";
import { isEveryday } from "./journeys.ts";

// A run stays short; the project's own checks go all journeys.
beforeEach(async ({ task, skip }) => {
  skip(few && !isEveryday(task.suite?.name, task.name), "gone with BOLE_THOROUGH=1");
  await beginFile();
});

afterEach(endTest);
afterAll(endFile);
