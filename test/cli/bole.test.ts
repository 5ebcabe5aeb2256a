import { execFile } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { apartInThreads } from "../../src/cli/apartInThreads.ts";
import { computeJob } from "../../src/graph/apart.ts";
import { initialParameters } from "../../src/graph/parameters.ts";
import { flatFilm } from "./inMemory.ts";

let folder: string;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "bole-cli-"));
  await writeFile(join(folder, "film.csv"), flatFilm(0.5, 1));
});

afterAll(() => rm(folder, { recursive: true, force: true }));

/** The program as a user runs it, in a process of its own; it builds itself first when it is stale. */
function bole(...argv: string[]): Promise<{ code: number; out: string; complaint: string }> {
  return new Promise((resolve) => {
    execFile(
      process.execPath,
      ["src/cli/bole.mjs", ...argv],
      { timeout: 110_000 },
      (error, out, complaint) => {
        resolve({ code: error ? Number(error.code) : 0, out, complaint });
      },
    );
  });
}

describe("the program", { timeout: 120_000 }, () => {
  test("prints JSON alone on standard output", async () => {
    const { code, out } = await bole("film", "--layer", `${join(folder, "film.csv")}:1`, "--ground", "0.8");
    expect(code).toBe(0);
    expect(JSON.parse(out).reflectance[0]).toBeCloseTo(0.4356, 6); // source: Kubelka 1948, worked example
  });

  test("has a thread for cells without a bound, which gives what is computed in place", async () => {
    const compute = apartInThreads(new URL("../../dist/cli/kindThread.js", import.meta.url));
    const parameters = initialParameters(registry.get("viewing")!.parameters);
    const job = { kind: "viewing", id: "viewing", title: "Viewing", inputs: {}, parameters };
    const apart = await compute(job, new AbortController().signal);
    expect(apart).toEqual(await computeJob(registry.get("viewing"), job)); // identity
    expect(apart.status).toBe("ok");
    const unknown = await compute({ ...job, kind: "no-such-kind" }, new AbortController().signal);
    expect(unknown).toMatchObject({
      status: "error",
      message: 'There is no kind of cell called "no-such-kind"',
    });
  });

  test("computes the first example notebook", async () => {
    const { code, out } = await bole("run", "data/examples/the-lantern-room.json");
    expect(JSON.parse(out).ok).toBe(true);
    expect(code).toBe(0);
  });

  test("complains on standard error with exit code 2", async () => {
    const { code, out, complaint } = await bole("run", join(folder, "none.json"));
    expect([code, out]).toEqual([2, ""]);
    expect(complaint).toContain("none.json: there is no such file");
  });
});
