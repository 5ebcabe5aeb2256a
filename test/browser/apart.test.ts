import { afterAll, describe, expect, test } from "vitest";
import { tookTooLong } from "../../src/graph/apart.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { computeApart } from "../../src/shell/kindPool.ts";
import { apartOn } from "../../src/workers/apart.ts";
import { WorkerPool } from "../../src/workers/workerPool.ts";
import { cellsWith, onlyEndless, testKinds } from "../graph/endlessKind.ts";

const pool = new WorkerPool(
  2,
  () => new Worker(new URL("./endless.worker.ts", import.meta.url), { type: "module" }),
);
afterAll(() => pool.close());

const graphOf = () =>
  new NotebookGraph(testKinds, undefined, { needs: onlyEndless, compute: apartOn(() => pool) });
const statuses = (graph: NotebookGraph) =>
  Object.fromEntries(cellsWith(0).map(({ id }) => [id, graph.outcome(id).status]));

describe("a cell without a bound, in the page", { timeout: 60_000 }, () => {
  test("is computed in a worker", async () => {
    const graph = graphOf();
    graph.setCells(cellsWith(5));
    await graph.settled();
    expect(graph.outcome("slow")).toEqual({ status: "ok", value: 5, notes: ["counting"] });
    expect(graph.outcome("after")).toMatchObject({ status: "ok", value: 10 });
    await expect(graph.act("slow", "half", new AbortController().signal)).resolves.toEqual({ limit: 2.5 });
    graph.dispose();
  });

  test("without an end is stopped after two seconds, named with its way out, and the rest goes on", async () => {
    const graph = graphOf();
    graph.setCells(cellsWith(0));
    // The page itself goes on while the cell runs: another cell is changed and shows its new value.
    await expect.poll(() => graph.outcome("beside").status, { timeout: 20_000 }).toBe("ok");
    expect(graph.outcome("slow").status).toBe("running");
    graph.setCells(cellsWith(0, 4));
    await expect.poll(() => graph.outcome("beside")).toMatchObject({ status: "ok", value: 46 });
    await graph.settled();
    expect(graph.outcome("slow")).toBe(tookTooLong);
    expect(tookTooLong).toMatchObject({
      message: expect.stringContaining("two seconds"),
      wayOut: expect.stringContaining("undo"),
    });
    expect(statuses(graph)).toEqual({ slow: "error", after: "blocked", good: "ok", beside: "ok" });
    // The way out: the setting is changed back.
    graph.setCells(cellsWith(7, 4));
    await graph.settled();
    expect(graph.outcome("after")).toMatchObject({ status: "ok", value: 14 });
    graph.dispose();
  });

  test("that is changed meanwhile is left at once", async () => {
    const graph = graphOf();
    graph.setCells(cellsWith(0));
    await expect.poll(() => graph.outcome("good").status, { timeout: 20_000 }).toBe("ok");
    graph.setCells(cellsWith(3));
    await graph.settled();
    expect(graph.outcome("slow")).toMatchObject({ status: "ok", value: 3 });
    graph.dispose();
  });

  test("the page's own workers know every kind", async () => {
    const job = { kind: "no-such-kind", id: "a", title: "A", inputs: {}, parameters: {} };
    const { signal } = new AbortController();
    const outcome = await computeApart(job, signal);
    expect(outcome).toMatchObject({
      status: "error",
      message: 'There is no kind of cell called "no-such-kind"',
    });
    const note = await computeApart({ ...job, kind: "note", parameters: { text: "hello" } }, signal);
    expect(note.status).toBe("ok");
  });
});
