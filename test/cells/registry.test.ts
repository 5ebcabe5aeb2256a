import { readdirSync } from "node:fs";
import { expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { growingRegistry } from "../../cells/registry.ts";

test("every folder of a cell is a kind of its name", () => {
  const folders = readdirSync(`${import.meta.dirname}/../../cells`, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map(({ name }) => name);
  expect([...registry.keys()].sort()).toEqual(folders.sort());
  for (const [name, kind] of registry) expect(kind.kind).toBe(name);
});

test("kinds needed at once or one after the other stand in the order in which they are offered", async () => {
  const { registry: growing, need } = growingRegistry();
  await Promise.all([need(["recipe", "no-such-kind"]), need(["target"])]);
  expect([...growing.keys()]).toEqual(["target", "recipe"]);
  await need(["photo"]);
  expect([...growing.keys()]).toEqual(["target", "photo", "recipe"]);
});
