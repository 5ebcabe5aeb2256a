import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { journeys } from "./e2e/journeys.ts";

const sources = ["test/e2e", "test/e2e/timed", "test/browsers"].flatMap((folder) =>
  readdirSync(folder)
    .filter((name) => name.endsWith(".test.ts"))
    .map((name) => readFileSync(`${folder}/${name}`, "utf8")),
);

// identity: a title that was changed would be passed over without a word
test.each(journeys.map((one) => (typeof one === "string" ? one : one[1])))("every run goes “%s”", (title) => {
  const written = title.replace(/\d+ px/, "%i px");
  expect(sources.filter((text) => text.includes(JSON.stringify(written)))).toHaveLength(1);
});
