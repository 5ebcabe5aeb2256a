import { describe, expect, test } from "vitest";
import { runDocument } from "../../src/cli/runNotebook.ts";
import { jobUnits } from "../../src/document/jobUnits.ts";
import { micrometrePerMil } from "../../src/units/units.ts";
import { jobCells } from "../cells/jobFixture.ts";

const cell = (kind: string, units?: string) => ({ kind, parameters: units ? { units } : {} });

describe("the units of a job", () => {
  test.each([
    [[], "metric"],
    [[cell("substrate")], "metric"],
    [[cell("target"), cell("substrate", "us")], "us"],
    [[cell("substrate", "us"), cell("batch")], "metric"],
    [[cell("substrate"), cell("batch", "us")], "us"],
  ] as const)("%j: %s", (cells, units) => expect(jobUnits(cells)).toBe(units)); // identity: what is said

  test("cells before the batch say their films in them too", async () => {
    const verdicts = async (units: string) => {
      const { cells } = await runDocument({
        ...{ format: "bole-notebook", version: 2, title: "Job" },
        cells: jobCells({ batch: { units } }),
      } as unknown as Parameters<typeof runDocument>[0]);
      return (id: string) => cells.find((one) => one.id === id)!.verdict!;
    };
    const [metric, us] = [await verdicts("metric"), await verdicts("us")];
    expect(metric("plan")).toBe("2 light coats of 15 µm, then 2 heavy coats of 30 µm: 90 µm wet.");
    // source: 1 mil = 25.4 µm
    expect(us("plan")).toContain(`: ${(90 / micrometrePerMil).toFixed(2)} mil wet.`);
    expect(us("plan")).toContain("0.59 mil");
    const dry = Number(/([\d.]+) µm dry/.exec(metric("ground"))![1]);
    // tolerance: both are rounded
    expect(Number(/([\d.]+) mil dry/.exec(us("ground"))![1])).toBeCloseTo(dry / micrometrePerMil, 1);
  });
});
