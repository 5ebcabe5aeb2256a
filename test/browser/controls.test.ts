import axe from "axe-core";
import { html, render, type TemplateResult } from "lit";
import { afterEach, beforeEach, describe, expect, onTestFinished, test, vi } from "vitest";
import { cdp, page, userEvent } from "vitest/browser";
import type {
  BoleChoice,
  BoleFile,
  BoleNumber,
  BoleSlider,
  BoleText,
  BoleToggle,
} from "../../src/controls/index.ts";
import { tokens } from "../../src/controls/index.ts";

let place: HTMLElement;

beforeEach(() => {
  place = document.body.appendChild(document.createElement("main"));
});

afterEach(() => {
  render(html``, place);
  place.remove();
});

/** Renders one control and waits until it stands. */
async function show<Control extends Element>(template: TemplateResult): Promise<Control> {
  render(template, place);
  const control = place.firstElementChild as Control & { updateComplete: Promise<boolean> };
  await control.updateComplete;
  return control;
}

const inside = <Found extends Element>(control: Element, selector: string) =>
  control.shadowRoot!.querySelector<Found>(selector)!;
const textOf = (control: Element, selector: string) =>
  (inside(control, selector)?.textContent ?? "").replace(/\s+/g, " ").trim();

/** All details of an event's dispatches on an element. */
function heard<Detail>(element: Element, type: string): Detail[] {
  const details: Detail[] = [];
  element.addEventListener(type, (event) => details.push((event as CustomEvent<Detail>).detail));
  return details;
}

async function retype(box: HTMLInputElement | HTMLTextAreaElement, text: string): Promise<void> {
  await userEvent.fill(box, text);
  await userEvent.tab();
}

describe("bole-number", () => {
  const number = (value: number) =>
    html`<bole-number label="Light coat" unit="µm" .value=${value} .min=${5} .max=${60}></bole-number>`;

  test("hands a typed number on when typing is over", async () => {
    const control = await show<BoleNumber>(number(15));
    const changes = heard(control, "change");
    await retype(inside(control, "#box"), "22.5");
    expect(changes).toEqual([{ value: 22.5 }]);
    expect(control.value).toBe(22.5);
  });

  test.each([
    ["7,5", 7.5],
    [" 12 µm", 12],
    ["1e1", 10],
  ])("understands %s", async (text, value) => {
    const control = await show<BoleNumber>(number(15));
    await retype(inside(control, "#box"), text);
    expect(control.value).toBe(value);
  });

  test.each([
    ["fifteen", "Light coat: “fifteen” is not a number. Type a number from 5 to 60 µm."],
    ["", "Light coat is empty. Type a number from 5 to 60 µm."],
    ["80", "Light coat: 80 µm is outside what is allowed. Type a number from 5 to 60 µm."],
    ["-3", "Light coat: -3 µm is outside what is allowed. Type a number from 5 to 60 µm."],
    [
      "1,500",
      "Light coat: “1,500” can be read in two ways. Type it without the comma, a number from 5 to 60 µm.",
    ],
  ])("refuses “%s” in words, keeps it in the box and hands nothing on", async (text, words) => {
    const control = await show<BoleNumber>(number(15));
    const changes = heard(control, "change");
    const box = inside<HTMLInputElement>(control, "#box");
    await retype(box, text);
    expect(textOf(control, "#trouble")).toBe(`Check this: ${words}`);
    expect(box.value).toBe(text);
    expect(box.getAttribute("aria-invalid")).toBe("true");
    expect(box.getAttribute("aria-describedby")).toBe("trouble");
    expect(changes).toEqual([]);
    expect(control.value).toBe(15);
  });

  test("refused text survives another rendering with the same value and goes with a new one", async () => {
    const control = await show<BoleNumber>(number(15));
    const box = inside<HTMLInputElement>(control, "#box");
    await retype(box, "many");
    render(number(15), place);
    await control.updateComplete;
    expect(box.value).toBe("many");
    render(number(20), place);
    await control.updateComplete;
    expect(box.value).toBe("20");
    expect(inside(control, "#trouble")).toBeNull();
  });

  test("three ways out of a refusal: the button, Escape, and mending the text", async () => {
    const control = await show<BoleNumber>(number(15));
    const box = inside<HTMLInputElement>(control, "#box");
    await retype(box, "x");
    expect(textOf(control, ".trouble button")).toBe("Back to 15 µm");
    await userEvent.click(inside(control, ".trouble button"));
    expect(box.value).toBe("15");
    await retype(box, "x");
    box.focus();
    await userEvent.keyboard("{Escape}");
    expect(box.value).toBe("15");
    await retype(box, "x");
    await userEvent.fill(box, "16");
    expect(inside(control, "#trouble")).toBeNull();
    expect(control.value).toBe(15); // not before typing is over
    await userEvent.tab();
    expect(control.value).toBe(16);
  });

  test("buttons and arrow keys step and stop at the limits", async () => {
    const control = await show<BoleNumber>(number(6));
    const changes = heard(control, "change");
    const [less, more] = control.shadowRoot!.querySelectorAll<HTMLButtonElement>(".step");
    expect([less.ariaLabel, more.ariaLabel]).toEqual(["Light coat: less", "Light coat: more"]);
    await userEvent.click(less);
    less.click(); // at the limit by now
    expect(control.value).toBe(5);
    expect(less.getAttribute("aria-disabled")).toBe("true");
    await userEvent.click(more);
    inside<HTMLInputElement>(control, "#box").focus();
    await userEvent.keyboard("{ArrowUp}{PageUp}{ArrowDown}");
    expect(changes).toEqual([5, 6, 7, 17, 16].map((value) => ({ value })));
  });

  test("a held button repeats until it is let go", async () => {
    const control = await show<BoleNumber>(number(10));
    const more = control.shadowRoot!.querySelectorAll(".step")[1];
    vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
    onTestFinished(() => void vi.useRealTimers());
    more.dispatchEvent(new PointerEvent("pointerdown", { bubbles: true }));
    vi.advanceTimersByTime(1000);
    const held = control.value!;
    expect(held).toBeGreaterThan(11);
    more.dispatchEvent(new PointerEvent("pointerup", { bubbles: true }));
    more.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    vi.advanceTimersByTime(10_000);
    expect(control.value).toBe(held);
  });

  test("steps of 0.1 do not gather rounding dust", async () => {
    const control = await show<BoleNumber>(
      html`<bole-number label="Dose" unit="g" .value=${0.1} .min=${0} .max=${9} .step=${0.1}></bole-number>`,
    );
    inside<HTMLInputElement>(control, "#box").focus();
    await userEvent.keyboard("{ArrowUp}{ArrowUp}");
    expect(control.value).toBe(0.3);
    expect(inside<HTMLInputElement>(control, "#box").value).toBe("0.3");
  });

  test("whole numbers where parts make no sense", async () => {
    const control = await show<BoleNumber>(
      html`<bole-number label="Heavy coats" .value=${3} .min=${0} .max=${8} .digits=${0}></bole-number>`,
    );
    await retype(inside(control, "#box"), "2.5");
    expect(textOf(control, "#trouble")).toContain(
      "Heavy coats: 2.5 is not a whole number. Type a whole number from 0 to 8.",
    );
    expect(control.value).toBe(3);
  });

  test("a value set from outside its range is shown and named, not clamped", async () => {
    const control = await show<BoleNumber>(number(99));
    expect(inside<HTMLInputElement>(control, "#box").value).toBe("99");
    expect(textOf(control, "#trouble")).toContain("99 µm is outside what is allowed");
    expect(control.value).toBe(99);
  });
});

describe("bole-slider", () => {
  const slider = (value: number) =>
    html`<bole-slider label="Warm cream" unit="%" .value=${value} .min=${0} .max=${100}></bole-slider>`;

  test("moves by the keyboard: input while moving, change at the end", async () => {
    const control = await show<BoleSlider>(slider(50));
    const inputs = heard<{ value: number }>(control, "input");
    const changes = heard<{ value: number }>(control, "change");
    inside<HTMLInputElement>(control, "#range").focus();
    await userEvent.keyboard("{ArrowRight}");
    await userEvent.keyboard("{Home}");
    await userEvent.keyboard("{End}");
    await userEvent.keyboard("{PageDown}");
    expect(inputs.map((detail) => detail.value)).toEqual([51, 0, 100, 90]);
    expect(changes.map((detail) => detail.value)).toEqual([51, 0, 100, 90]);
    expect(inside<HTMLInputElement>(control, "#box").value).toBe("90");
  });

  test("no native input event gets out beside the control's own", async () => {
    const control = await show<BoleSlider>(slider(50));
    const inputs = heard<unknown>(control, "input");
    await userEvent.fill(inside<HTMLInputElement>(control, "#box"), "7");
    expect(inputs).toEqual([]);
    await userEvent.tab();
    expect(inputs).toEqual([{ value: 7 }]);
  });

  test("a typed value moves the slider; a refused one does not", async () => {
    const control = await show<BoleSlider>(slider(50));
    const range = inside<HTMLInputElement>(control, "#range");
    const box = inside<HTMLInputElement>(control, "#box");
    await retype(box, "62");
    expect(range.value).toBe("62");
    await retype(box, "620");
    expect(range.value).toBe("62");
    expect(box.value).toBe("620");
    expect(textOf(control, "#trouble")).toContain("from 0 to 100 %");
    await userEvent.fill(range, "40");
    expect(box.value).toBe("40");
    expect(inside(control, "#trouble")).toBeNull();
  });

  test("says its value with the unit", async () => {
    const control = await show<BoleSlider>(slider(62));
    expect(inside(control, "#range").getAttribute("aria-valuetext")).toBe("62 %");
  });
});

describe("bole-choice", () => {
  const options = [
    { value: "D65", label: "D65 daylight" },
    { value: "A", label: "A incandescent" },
  ];

  test("hands the choice on", async () => {
    const control = await show<BoleChoice>(
      html`<bole-choice label="Main light" .options=${options} value="D65"></bole-choice>`,
    );
    const changes = heard(control, "change");
    const inputs = heard(control, "input");
    await userEvent.selectOptions(inside(control, "select"), "A");
    expect(changes).toEqual([{ value: "A" }]);
    expect(inputs).toEqual([]);
  });

  test("a value that is not on offer is shown as such", async () => {
    const control = await show<BoleChoice>(
      html`<bole-choice label="Main light" .options=${options} value="FL99"></bole-choice>`,
    );
    expect(textOf(control, "#trouble")).toBe(
      "Check this: Main light: “FL99” is not available. Choose one of: D65 daylight, A incandescent.",
    );
    expect(inside<HTMLSelectElement>(control, "select").value).toBe("FL99");
    expect(control.value).toBe("FL99");
  });

  test("follows options that arrive later", async () => {
    const template = (list: typeof options) =>
      html`<bole-choice label="Main light" .options=${list} value="A"></bole-choice>`;
    const control = await show<BoleChoice>(template([]));
    render(template(options), place);
    await control.updateComplete;
    expect(inside<HTMLSelectElement>(control, "select").value).toBe("A");
    expect(inside(control, "#trouble")).toBeNull();
  });
});

describe("bole-toggle", () => {
  test("switches by the space bar and says its state in a word", async () => {
    const control = await show<BoleToggle>(html`<bole-toggle label="Specular included"></bole-toggle>`);
    const changes = heard(control, "change");
    expect(textOf(control, ".state")).toBe("off");
    inside<HTMLInputElement>(control, "input").focus();
    await userEvent.keyboard(" ");
    expect(changes).toEqual([{ value: true }]);
    expect(textOf(control, ".state")).toBe("on");
  });
});

describe("bole-text", () => {
  test("input while typing, change once at the end", async () => {
    const control = await show<BoleText>(html`<bole-text label="Customer" value=""></bole-text>`);
    const inputs = heard<{ value: string }>(control, "input");
    const changes = heard<{ value: string }>(control, "change");
    const box = inside<HTMLInputElement>(control, "#text");
    box.focus();
    await userEvent.keyboard("Lu");
    await userEvent.tab();
    expect(inputs).toEqual([{ value: "L" }, { value: "Lu" }]);
    expect(changes).toEqual([{ value: "Lu" }]);
  });

  test("too long a text stays in the box and is not handed on", async () => {
    const control = await show<BoleText>(
      html`<bole-text label="Title" value="seats" .maxLength=${8} multiline></bole-text>`,
    );
    const changes = heard(control, "change");
    const box = inside<HTMLTextAreaElement>(control, "textarea");
    await retype(box, "all the seats");
    expect(textOf(control, "#trouble")).toBe(
      "Check this: Title: 13 characters typed, at most 8 allowed. Take out 5.",
    );
    expect(box.value).toBe("all the seats");
    expect(control.value).toBe("seats");
    expect(changes).toEqual([]);
    await userEvent.click(inside(control, ".trouble button"));
    expect(box.value).toBe("seats");
  });

  test("needed text that is missing is named", async () => {
    const control = await show<BoleText>(html`<bole-text label="Title" value="seats" required></bole-text>`);
    await retype(inside(control, "#text"), "");
    expect(textOf(control, "#trouble")).toContain("Title is empty. Type at least one character.");
    expect(control.value).toBe("seats");
  });
});

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

  test("a picture is handed on unread", async () => {
    const control = await show<BoleFile>(html`<bole-file label="Photo" accept=".png" binary></bole-file>`);
    const files = heard<{ name: string; file: File }>(control, "file");
    choose(control, new File([new Uint8Array([0xff, 0xd8])], "card.png"));
    await expect.poll(() => files.length).toBe(1);
    expect(files[0].file.size).toBe(2);
  });
});

describe("bole-swatch", () => {
  const colourOf = (element: Element) => getComputedStyle(element).backgroundColor;

  test("a pair touches edge to edge and both halves lie on the neutral grey", async () => {
    const control = await show(
      html`<bole-swatch colour="rgb(140, 20, 40)" target="rgb(200, 16, 46)" label="Bolsters"></bole-swatch>`,
    );
    const [target, sample] = control.shadowRoot!.querySelectorAll(".half");
    expect([colourOf(target), colourOf(sample)]).toEqual(["rgb(200, 16, 46)", "rgb(140, 20, 40)"]);
    expect(target.getBoundingClientRect().right).toBe(sample.getBoundingClientRect().left);
    expect(colourOf(inside(control, ".surround"))).toBe("rgb(119, 119, 119)");
  });

  test("words under the panel, and the badge when there is one", async () => {
    const control = await show(
      html`<bole-swatch colour="red" label="Seats" sub-label="no visible difference" badge="beyond this screen"></bole-swatch>`,
    );
    expect(textOf(control, "figcaption")).toBe("Seats no visible difference beyond this screen");
  });

  test("a colour that cannot be read is said to be missing", async () => {
    const control = await show(html`<bole-swatch colour="rgb(nothing)" label="Plinth"></bole-swatch>`);
    expect(textOf(control, ".half")).toBe("no colour");
  });
});

describe("bole-message", () => {
  test.each([
    ["error", "alert", "Error in Coats. Too many."],
    ["blocked", "status", "Waiting in Coats. Too many."],
    ["note", "note", "Note in Coats. Too many."],
  ] as const)("%s: role and words", async (kind, role, words) => {
    const control = await show(
      html`<bole-message kind=${kind} field="Coats" text="Too many."><button>Set to 8</button></bole-message>`,
    );
    expect(inside(control, ".message").getAttribute("role")).toBe(role);
    expect(textOf(control, "p")).toBe(words);
  });
});

const everything = html`
  <style>
    ${tokens.cssText} body {
      margin: 0;
      background: var(--bole-paper);
      color: var(--bole-ink);
    }
  </style>
  <h1>Controls</h1>
  <bole-number label="Light coat" unit="µm" hint="Common practice" .value=${15} .min=${5} .max=${60}></bole-number>
  <bole-number label="Heavy coat" unit="µm" .value=${99} .min=${5} .max=${60}></bole-number>
  <bole-slider label="Warm cream" unit="%" .value=${62} .min=${0} .max=${100}></bole-slider>
  <bole-choice label="Light" .options=${[{ value: "A", label: "A" }]} value="B"></bole-choice>
  <bole-toggle label="Specular included" hint="As most instruments do"></bole-toggle>
  <bole-toggle label="Opaque limit" value></bole-toggle>
  <bole-text label="Customer" value="Lantern Room"></bole-text>
  <bole-text label="Note" value="" multiline></bole-text>
  <bole-file label="Target" accept=".csv"></bole-file>
  <bole-swatch colour="#8d1526" target="#c8102e" label="Bolsters" sub-label="darker" badge="beyond this screen"></bole-swatch>
  <bole-message kind="error" field="Coats" text="Too many."><button>Set to 8</button></bole-message>
  <bole-message kind="blocked" text="Waits for the target."><a href="#target">Go to the target</a></bole-message>
`;

describe("all controls together", () => {
  /** Every focusable thing inside the controls, through their shadow trees. */
  function targets(): HTMLElement[] {
    const found: HTMLElement[] = [];
    for (const control of place.querySelectorAll("*")) {
      const selector = "button, a, select, textarea, input:not([hidden])";
      if (control.matches(selector)) found.push(control as HTMLElement);
      if (control.shadowRoot) found.push(...control.shadowRoot.querySelectorAll<HTMLElement>(selector));
    }
    return found;
  }

  async function theme(scheme: "light" | "dark" | undefined): Promise<void> {
    const features = scheme ? [{ name: "prefers-color-scheme", value: scheme }] : [];
    await (cdp() as unknown as { send(method: string, values: object): Promise<unknown> }).send(
      "Emulation.setEmulatedMedia",
      { features },
    );
  }

  test.each(["light", "dark"] as const)("no accessibility violations, %s", async (scheme) => {
    await theme(scheme);
    try {
      await show(everything);
      expect(matchMedia("(prefers-color-scheme: dark)").matches).toBe(scheme === "dark");
      const { violations } = await axe.run(place);
      const words = violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(" | ")}`);
      expect(words).toEqual([]);
    } finally {
      await theme(undefined);
    }
  });

  test("the surround of colour panels is the same grey in both themes, the paper is not", async () => {
    const seen: Record<string, string[]> = {};
    for (const scheme of ["light", "dark"] as const) {
      await theme(scheme);
      await show(everything);
      const swatch = place.querySelector("bole-swatch")!;
      seen[scheme] = [
        getComputedStyle(inside(swatch, ".surround")).backgroundColor,
        getComputedStyle(document.body).backgroundColor,
      ];
    }
    await theme(undefined);
    expect(seen.light[0]).toBe(seen.dark[0]);
    expect(seen.light[1]).not.toBe(seen.dark[1]);
  });

  test.each([390, 820, 1280])(
    "targets are at least 44 px and nothing is wider than the page at %d px",
    async (width) => {
      await page.viewport(width, 900);
      await show(everything);
      for (const target of targets()) {
        // A switch is pressed anywhere on its label.
        const box = (target.closest("label") ?? target.closest(".box") ?? target).getBoundingClientRect();
        expect(box.height, target.outerHTML).toBeGreaterThanOrEqual(44);
        expect(box.width, target.outerHTML).toBeGreaterThanOrEqual(44);
      }
      expect(document.documentElement.scrollWidth).toBeLessThanOrEqual(width);
    },
  );

  test("each focus shows a ring", async () => {
    await show(everything);
    inside<HTMLInputElement>(place.querySelector("bole-number")!, "#box").focus();
    let rings = 0;
    for (let i = 0; i < 13; i++) {
      let focused: Element | null = document.activeElement;
      while (focused?.shadowRoot?.activeElement) focused = focused.shadowRoot.activeElement;
      if (!focused || focused === document.body) break;
      const ringed = focused.closest(".box") ?? focused;
      const shown = [focused, ringed].some(
        (element) => Number.parseFloat(getComputedStyle(element).outlineWidth) >= 3,
      );
      expect(shown, focused.outerHTML).toBe(true);
      rings++;
      await userEvent.tab();
    }
    expect(rings).toBeGreaterThanOrEqual(10);
  });

  test("text is at least 16 px", async () => {
    await show(everything);
    for (const control of place.querySelectorAll("*")) {
      for (const element of control.shadowRoot?.querySelectorAll("*") ?? []) {
        if (!element.textContent?.trim() || ["STYLE", "OPTION"].includes(element.tagName)) continue;
        expect(
          Number.parseFloat(getComputedStyle(element).fontSize),
          element.outerHTML,
        ).toBeGreaterThanOrEqual(16);
      }
    }
  });
});
