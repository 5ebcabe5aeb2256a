import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { emptyNotebook, type NotebookDocument, serialiseNotebook } from "../../src/document/notebook.ts";
import { Saver } from "../../src/shell/saver.ts";
import { ServiceError } from "../../src/shell/service.ts";
import { MemoryServer } from "./memoryServer.ts";

const state = (title: string) => emptyNotebook(title);

function saving(first: NotebookDocument = state("0")) {
  const server = new MemoryServer();
  server.put("a", first);
  const states: string[] = [];
  const saved: string[] = [];
  const conflicts: string[] = [];
  const service = server.service("me");
  const saver = new Saver({
    service,
    name: "a",
    revision: MemoryServer.revisionOf(serialiseNotebook(first)),
    onState: () => {
      if (states.at(-1) !== saver.state.kind) states.push(saver.state.kind);
    },
    onSaved: (document) => saved.push(document.title),
    onConflict: (text) => conflicts.push(JSON.parse(text).title),
  });
  return { server, saver, states, saved, conflicts, service };
}

describe("saving as you work", () => {
  beforeEach(() => void vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] }));
  afterEach(() => void vi.useRealTimers());

  test("a moment after the last change, and only that one", async () => {
    const { saver, server, states, saved } = saving();
    for (const title of ["1", "2", "3"]) {
      saver.want(state(title));
      await vi.advanceTimersByTimeAsync(100);
    }
    expect(server.saves).toBe(0);
    await vi.advanceTimersByTimeAsync(400);
    expect(server.document("a").title).toBe("3");
    expect(saved).toEqual(["3"]);
    expect(states).toEqual(["waiting", "saving", "saved"]);
  });

  test("changes during a save follow it, each on the revision before", async () => {
    const { saver, server, saved } = saving();
    saver.want(state("1"));
    const flushed = saver.flush();
    saver.want(state("2"));
    await flushed;
    await vi.advanceTimersByTimeAsync(1000);
    expect(saved).toEqual(["1", "2"]);
    expect(server.document("a").title).toBe("2");
    expect(saver.state.kind).toBe("saved");
  });

  test("while the server is away it tries again, ever less often, and at once when it is back", async () => {
    const { saver, server, states } = saving();
    server.mood = "away";
    saver.want(state("1"));
    await vi.advanceTimersByTimeAsync(60_000);
    expect(saver.state.kind).toBe("away");
    expect(server.saves).toBeGreaterThan(4);
    expect(server.saves).toBeLessThan(10);
    server.mood = "there";
    saver.serverIsBack();
    await vi.advanceTimersByTimeAsync(0);
    expect(server.document("a").title).toBe("1");
    expect(states).toEqual(["waiting", "saving", "away", "saved"]);
  });

  test("a save whose answer was lost is no conflict with oneself", async () => {
    const { saver, server, conflicts, saved } = saving();
    server.mood = "answer lost";
    saver.want(state("1"));
    await vi.advanceTimersByTimeAsync(400);
    expect([server.document("a").title, saver.state.kind]).toEqual(["1", "away"]);
    saver.want(state("2"));
    server.mood = "there";
    await vi.advanceTimersByTimeAsync(5000);
    expect(conflicts).toEqual([]);
    expect(saved).toEqual(["1", "2"]);
    expect(server.document("a").title).toBe("2");
  });

  test("what others have written is shown and never overwritten", async () => {
    const { saver, server, conflicts } = saving();
    server.put("a", state("theirs"));
    saver.want(state("mine"));
    await vi.advanceTimersByTimeAsync(400);
    expect([saver.state.kind, conflicts]).toEqual(["conflict", ["theirs"]]);
    saver.want(state("mine, later"));
    await vi.advanceTimersByTimeAsync(60_000);
    expect(server.document("a").title).toBe("theirs");
    expect(server.saves).toBe(1);
    saver.rebase(MemoryServer.revisionOf(server.files.get("a") ?? ""), state("both"));
    await vi.advanceTimersByTimeAsync(0);
    expect([server.document("a").title, saver.state.kind]).toEqual(["both", "saved"]);
  });

  test("what the server refuses is not sent again until it has changed", async () => {
    const { saver, server, service } = saving();
    const save = vi.spyOn(service, "save");
    save.mockRejectedValueOnce(new ServiceError(413, { error: "larger than 20 MB" }));
    saver.want(state("large"));
    await vi.advanceTimersByTimeAsync(60_000);
    expect(saver.state).toEqual({ kind: "refused", reason: "larger than 20 MB" });
    expect(save).toHaveBeenCalledTimes(1);
    saver.want(state("small"));
    await vi.advanceTimersByTimeAsync(400);
    expect([server.document("a").title, saver.state.kind]).toEqual(["small", "saved"]);
  });

  test.each<[string, number, string]>([
    ["a full disk", 507, "away"],
    ["a folder that may not be written", 403, "away"],
    ["a fault of the server", 500, "away"],
    ["another folder", 421, "elsewhere"],
    ["a file that is gone", 404, "gone"],
  ])("%s: the state says so and the change stays wanted", async (_, status, kind) => {
    const { saver, server, service } = saving();
    vi.spyOn(service, "save").mockRejectedValueOnce(new ServiceError(status, { error: "why" }));
    saver.want(state("1"));
    await vi.advanceTimersByTimeAsync(400);
    expect(saver.state).toEqual({ kind, reason: "why" });
    await vi.advanceTimersByTimeAsync(1000);
    expect(server.document("a").title).toBe(kind === "away" ? "1" : "0");
  });

  test("ended, it sends nothing more", async () => {
    const { saver, server } = saving();
    saver.want(state("1"));
    saver.end();
    await vi.advanceTimersByTimeAsync(60_000);
    expect(server.saves).toBe(0);
  });
});
