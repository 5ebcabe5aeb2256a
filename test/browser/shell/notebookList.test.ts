import { afterEach, describe, expect, test } from "vitest";
import type { NotebookEntry } from "../../../src/document/served.ts";
import type { NotebookList } from "../../../src/shell/notebookList.ts";
import "../../../src/shell/notebookList.ts";
import { keepPanels, keptPanels } from "../../../src/shell/panelPictures.ts";

const entry = (name: string, title: string, modified: string, problem?: string): NotebookEntry => ({
  name,
  title,
  modified,
  size: 1,
  revision: "0",
  problem,
});
const entries = [
  entry("seat-10", "Seat 10", "2026-03-01T10:00:00.000Z"),
  entry("seat-9", "Seat 9", "2026-03-03T10:00:00.000Z"),
  entry("twin", "Door", "2026-03-02T10:00:00.000Z"),
  entry("twin-2", "Door", "2026-03-02T10:00:00.000Z"),
  entry("broken", "broken", "2026-02-01T10:00:00.000Z", "it is no notebook"),
];

async function shown(current = ""): Promise<NotebookList> {
  const list = document.createElement("bole-notebook-list");
  Object.assign(list, { entries, current });
  document.body.append(list);
  await list.updateComplete;
  return list;
}

const buttons = (list: NotebookList) => [...list.renderRoot.querySelectorAll<HTMLElement>("li button")];
const titles = (list: NotebookList) => buttons(list).map((one) => one.textContent?.trim());
const words = (list: NotebookList) =>
  [...list.renderRoot.querySelectorAll("li")].map((one) => one.innerText.replace(/\s+/g, " "));

afterEach(() => {
  document.body.replaceChildren();
  localStorage.clear();
});

describe("the list of notebooks", () => {
  test("begins with the one changed last, and can be put in order of title", async () => {
    const list = await shown();
    expect(titles(list)).toEqual(["Seat 9", "Door", "Door", "Seat 10", "broken (cannot be read)"]);
    const order = list.renderRoot.querySelector("select")!;
    order.value = "title";
    order.dispatchEvent(new Event("change"));
    await list.updateComplete;
    expect(titles(list)).toEqual(["broken (cannot be read)", "Door", "Door", "Seat 9", "Seat 10"]);
  });

  test("never shows two that look alike, and none without a date", async () => {
    const all = words(await shown());
    expect(new Set(all).size).toBe(entries.length);
    for (const text of all) expect(text).toContain("2026");
    expect(all.filter((text) => /file twin(-2)?$/.test(text)).length).toBe(2);
  });

  test("is searched by title and by file", async () => {
    const list = await shown();
    const field = list.renderRoot.querySelector("input")!;
    for (const [sought, found] of [
      ["seat", ["Seat 9", "Seat 10"]],
      ["TWIN-2", ["Door"]],
      ["nothing like it", []],
    ] as const) {
      field.value = sought;
      field.dispatchEvent(new Event("input"));
      await list.updateComplete;
      expect(titles(list)).toEqual(found);
    }
    expect(list.renderRoot.querySelector("[role=status]")?.textContent).toContain("nothing like it");
  });

  test("shows the panels as this browser last showed them, and nothing that was planted", async () => {
    keepPanels("seat-9", ["rgb(138, 51, 36)", "#767676"]);
    const list = await shown("seat-9");
    const colours = [...list.renderRoot.querySelectorAll("li:first-child i")].map(
      (one) => getComputedStyle(one).backgroundColor,
    );
    expect(colours).toEqual(["rgb(138, 51, 36)", "rgb(118, 118, 118)"]);
    expect(buttons(list)[0].getAttribute("aria-current")).toBe("page");
    expect(list.renderRoot.querySelectorAll("li:not(:first-child) i").length).toBe(0);
    localStorage.setItem("bole-panels", JSON.stringify({ twin: ["url(https://attacker.example/)"] }));
    expect(keptPanels()).toEqual({});
    localStorage.setItem("bole-panels", "{");
    expect(keptPanels()).toEqual({});
  });

  test("opens what is pressed", async () => {
    const list = await shown();
    const picked: string[] = [];
    list.addEventListener("pick", (event) =>
      picked.push((event as CustomEvent<{ name: string }>).detail.name),
    );
    buttons(list)[1].click();
    expect(picked).toEqual(["twin"]);
  });
});
