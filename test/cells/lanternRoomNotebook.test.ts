import { describe, expect, test } from "vitest";
import lanternRoomText from "../../data/examples/the-lantern-room.json?raw";
import { runNotebook } from "../../src/cli/runNotebook.ts";

describe("the Lantern Room notebook, headless", async () => {
  const report = await runNotebook(lanternRoomText);
  console.log(
    JSON.stringify(
      report.cells.map(({ id, status, message, notes }) => ({ id, status, message, notes })),
      null,
      1,
    ),
  );
  test("every cell is ok", () => {
    expect(report.cells.filter((cell) => cell.status !== "ok")).toEqual([]);
  });
});
