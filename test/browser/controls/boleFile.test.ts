import { html } from "lit";
import { describe, expect, test } from "vitest";
import "../../../src/controls/boleFile.ts";
import type { BoleFile } from "../../../src/controls/boleFile.ts";
import { ask } from "../../../src/controls/emit.ts";
import { heard, inside, show, textOf } from "./shown.ts";

describe("bole-file", () => {
  const template = html`<bole-file label="Target" accept=".csv,.txt" max-bytes="40"></bole-file>`;
  const choose = (control: Element, ...files: File[]) => {
    const input = inside<HTMLInputElement>(control, "input");
    const transfer = new DataTransfer();
    for (const file of files) transfer.items.add(file);
    input.files = transfer.files;
    input.dispatchEvent(new Event("change"));
  };

  test("hands a text file on, by name and text", async () => {
    const control = await show<BoleFile>(template);
    const files = heard(control, "file");
    choose(control, new File(["nm,R\n400,0.05\n"], "seat.csv"));
    await expect.poll(() => files).toEqual([{ name: "seat.csv", text: "nm,R\n400,0.05\n" }]);
    expect(textOf(control, ".last")).toBe("Read: seat.csv");
  });

  test("takes a dropped file", async () => {
    const control = await show<BoleFile>(template);
    const files = heard<{ name: string }>(control, "file");
    const dataTransfer = new DataTransfer();
    dataTransfer.items.add(new File(["400,0.05"], "drop.txt"));
    inside(control, ".zone").dispatchEvent(
      new DragEvent("drop", { dataTransfer, bubbles: true, cancelable: true }),
    );
    await expect.poll(() => files.map((file) => file.name)).toEqual(["drop.txt"]);
  });

  test.each([
    [[new File(["x".repeat(41)], "big.csv")], "“big.csv” is 41 bytes, larger than the 40 bytes allowed"],
    [
      [new File(["x"], "seat.pdf")],
      "“seat.pdf” has an ending that is not read here. Choose a file ending in .csv or .txt.",
    ],
    [[new File([], "none.csv")], "“none.csv” is empty"],
    [[new File([new Uint8Array([0xff, 0xfe, 0x41])], "odd.csv")], "“odd.csv” is not plain text in UTF-8"],
    [[new File(["a\0b"], "binary.csv")], "“binary.csv” is not a text file"],
    [[new File(["a"], "a.csv"), new File(["b"], "b.csv")], "2 files at once. Choose one file at a time."],
  ])("refuses in words: %#", async (files, words) => {
    const control = await show<BoleFile>(template);
    const taken = heard(control, "file");
    choose(control, ...files);
    await expect.poll(() => textOf(control, "#trouble")).toContain(`Check this: Target: ${words}`);
    expect(taken).toEqual([]);
  });

  test("what was wrong with a file goes away with the next edit of the cell around, not with one elsewhere", async () => {
    const both = await show<HTMLElement>(html`<main><div>${template}</div><p></p></main>`);
    const control = both.querySelector<BoleFile>("bole-file")!;
    choose(control, new File([], "none.csv"));
    await expect.poll(() => textOf(control, "#trouble")).toContain("is empty");
    ask(both.querySelector("p")!, "bole-set");
    await control.updateComplete;
    expect(textOf(control, "#trouble")).toContain("is empty");
    ask(both.querySelector("div")!, "bole-set");
    await control.updateComplete;
    expect(inside(control, "#trouble")).toBeNull();
  });

  test("a picture is handed on unread", async () => {
    const control = await show<BoleFile>(html`<bole-file label="Photo" accept=".png" binary></bole-file>`);
    const files = heard<{ name: string; file: File }>(control, "file");
    choose(control, new File([new Uint8Array([0xff, 0xd8])], "card.png"));
    await expect.poll(() => files.length).toBe(1);
    expect(files[0].file.size).toBe(2);
  });
});
