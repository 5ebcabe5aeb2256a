import { html } from "lit";
import { expect, test } from "vitest";
import "../../../cells/note/view.ts";
import { show } from "../controls/shown.ts";

const links = [
  ["[a site](https://example.org/page)", "https://example.org/page"],
  ["<https://example.org>", "https://example.org"],
  ['<a href="https://example.org" target="_self" rel="opener">in its place</a>', "https://example.org"],
  ['<a href="https://example.org" target="_top">on top</a>', "https://example.org"],
  ["[this server](/api/notebooks)", "/api/notebooks"],
  ["[a mail](mailto:somebody@example.org)", "mailto:somebody@example.org"],
  ['<map><area href="https://example.org" alt="x"></map>', "https://example.org"],
] as const;

test.each(links)("%s opens beside the workbench, and cannot reach back", async (text, href) => {
  const outcome = { status: "ok", value: { text }, notes: [] };
  const note = await show(
    html`<bole-view-note .cell=${{ id: "n" }} .parameters=${{ text }} .outcome=${outcome}></bole-view-note>`,
  );
  await expect.poll(() => note.shadowRoot!.querySelector("[href]")?.getAttribute("href")).toBe(href);
  const found = [...note.shadowRoot!.querySelectorAll("[href]")];
  expect(found.map((link) => [link.getAttribute("target"), link.getAttribute("rel")])).toEqual([
    ["_blank", "noopener noreferrer"],
  ]);
});
