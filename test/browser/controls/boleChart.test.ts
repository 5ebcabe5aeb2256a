import axe from "axe-core";
import { html, render, type TemplateResult } from "lit";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { page, userEvent } from "vitest/browser";
import type { BoleChart, ChartDraw } from "../../../src/controls/boleChart.ts";
import "../../../src/controls/boleChart.ts";
import "../../../src/controls/index.ts";
import { charts } from "../../charts/examples.ts";

let place: HTMLElement;

beforeEach(async () => {
  await page.viewport(900, 700);
  place = document.body.appendChild(document.createElement("main"));
});

afterEach(() => {
  render(html``, place);
  place.remove();
});

const inside = <Found extends Element>(control: Element, selector: string) =>
  control.shadowRoot!.querySelector<Found>(selector)!;
const pictureOf = (chart: Element) => inside<SVGSVGElement>(chart, ".picture svg");

async function show(template: TemplateResult): Promise<BoleChart> {
  render(template, place);
  const chart = place.querySelector("bole-chart")!;
  await expect.poll(() => pictureOf(chart)).toBeTruthy();
  return chart;
}

/** A plain line whose x axis runs from 0 to 100 without margins, so that pixels are easy to count. */
const plain =
  (top = 1): ChartDraw =>
  (Plot, { width, height }) => ({
    width,
    height,
    axis: null,
    x: { domain: [0, 100], range: [0, width] },
    y: { domain: [0, top], range: [height, 0] },
    marks: [
      Plot.line(
        [
          [0, 0],
          [100, 1],
        ],
        { stroke: "black" },
      ),
    ],
  });

describe("drawing", () => {
  test("a new draw is on the page before the next frame", async () => {
    const chart = await show(html`<bole-chart label="Line" .draw=${plain()}></bole-chart>`);
    const before = pictureOf(chart);
    let framed = false;
    requestAnimationFrame(() => {
      framed = true;
    });
    chart.draw = plain(2);
    await chart.updateComplete;
    expect(framed).toBe(false);
    expect(pictureOf(chart)).not.toBe(before);
  });

  test("takes the width of its place and follows it", async () => {
    const template = (width: number) =>
      html`<div .style=${`width:${width}px`}><bole-chart label="Line" .draw=${plain()}></bole-chart></div>`;
    const chart = await show(template(500));
    expect(pictureOf(chart).getAttribute("width")).toBe("500");
    render(template(320), place);
    await expect.poll(() => pictureOf(chart).getAttribute("width")).toBe("320");
  });

  test("waits while it is out of sight and catches up when it comes into view", async () => {
    let drawings = 0;
    const counted: () => ChartDraw = () => (Plot, size) => {
      drawings++;
      return plain()(Plot, size);
    };
    const far = html`<div .style=${"height:3000px"}></div>`;
    render(html`${far}<bole-chart label="Line" .draw=${counted()}></bole-chart>`, place);
    const chart = place.querySelector("bole-chart")!;
    for (let i = 0; i < 5; i++) {
      chart.draw = counted();
      await new Promise(requestAnimationFrame);
    }
    await new Promise((done) => setTimeout(done, 200));
    expect(drawings).toBe(0);
    chart.scrollIntoView();
    await expect.poll(() => drawings).toBe(1);
    expect(pictureOf(chart)).toBeTruthy();
    window.scrollTo(0, 0);
    await new Promise((done) => setTimeout(done, 200));
    chart.draw = counted();
    await chart.updateComplete;
    expect(drawings).toBe(1);
  });

  test("draws what is missing before printing", async () => {
    render(
      html`<div .style=${"height:3000px"}></div><bole-chart label="Line" .draw=${plain()}></bole-chart>`,
      place,
    );
    const chart = place.querySelector("bole-chart")!;
    await new Promise((done) => setTimeout(done, 200));
    expect(pictureOf(chart)).toBeNull();
    window.dispatchEvent(new Event("beforeprint"));
    expect(pictureOf(chart)).toBeTruthy();
  });

  test("a drawing that fails says so, and the next one heals it", async () => {
    const failing: ChartDraw = () => {
      throw new RangeError("curve “target”: 2 values for 36 wavelengths");
    };
    render(html`<bole-chart label="Line" .draw=${failing}></bole-chart>`, place);
    const chart = place.querySelector("bole-chart")!;
    await expect
      .poll(() => inside(chart, ".failure")?.textContent)
      .toBe("This chart could not be drawn: curve “target”: 2 values for 36 wavelengths");
    expect(inside(chart, ".picture").getAttribute("aria-label")).toContain("could not be drawn");
    chart.draw = plain();
    await chart.updateComplete;
    expect(inside(chart, ".failure")).toBeNull();
    expect(inside(chart, ".picture").getAttribute("aria-label")).toBe("Line");
  });

  test("is taken out and put back without losing its observers", async () => {
    const chart = await show(html`<bole-chart label="Line" .draw=${plain()}></bole-chart>`);
    chart.remove();
    chart.draw = plain(3);
    await chart.updateComplete;
    const old = pictureOf(chart);
    place.append(chart);
    await expect.poll(() => pictureOf(chart) !== old).toBe(true);
  });
});

describe("names", () => {
  test("label and summary describe one picture whose inside is not read aloud", async () => {
    const chart = await show(
      html`<bole-chart label="Reflectance" summary="The film is darker." .draw=${plain()}></bole-chart>`,
    );
    const picture = inside(chart, ".picture");
    expect(picture.getAttribute("role")).toBe("img");
    expect(picture.getAttribute("aria-label")).toBe("Reflectance");
    expect(chart.shadowRoot!.getElementById(picture.getAttribute("aria-describedby")!)!.textContent).toBe(
      "The film is darker.",
    );
    expect(pictureOf(chart).getAttribute("aria-hidden")).toBe("true");
  });
});

describe("pointer and keyboard", () => {
  const at = (chart: Element, share: number) => {
    const box = inside(chart, ".picture").getBoundingClientRect();
    return { clientX: box.left + share * box.width, clientY: box.top + 20, bubbles: true, pointerId: 1 };
  };

  test("the read-out follows the pointer with words and a line, and goes with it", async () => {
    const chart = await show(
      html`<bole-chart label="Line" .draw=${plain()} .readOut=${(x: number) => `x is ${x.toFixed(0)}`}></bole-chart>`,
    );
    const picture = inside(chart, ".picture");
    const drawn = pictureOf(chart);
    picture.dispatchEvent(new PointerEvent("pointermove", at(chart, 0.25)));
    const reading = inside<HTMLElement>(chart, ".reading");
    expect(reading.hidden).toBe(false);
    expect(reading.textContent).toBe("x is 25");
    const line = inside<HTMLElement>(chart, ".line").getBoundingClientRect();
    const box = picture.getBoundingClientRect();
    expect(Math.abs(line.left - (box.left + 0.25 * box.width))).toBeLessThan(2);
    expect(pictureOf(chart)).toBe(drawn); // the picture is not redrawn for it
    picture.dispatchEvent(new PointerEvent("pointerleave"));
    expect(reading.hidden).toBe(true);
  });

  test("without a read-out or a pick there is nothing at the pointer and nothing to focus", async () => {
    const chart = await show(html`<bole-chart label="Line" .draw=${plain()}></bole-chart>`);
    inside(chart, ".picture").dispatchEvent(new PointerEvent("pointermove", at(chart, 0.5)));
    expect(inside<HTMLElement>(chart, ".reading").hidden).toBe(true);
    expect(inside(chart, "[tabindex]")).toBeNull();
  });

  test("press, drag and release pick values; the last one is not live", async () => {
    const picks: [number, boolean][] = [];
    const onPick = (x: number, live: boolean) => picks.push([x, live]);
    const chart = await show(
      html`<bole-chart label="Line" .draw=${plain()} .onPick=${onPick} pick-step="1"></bole-chart>`,
    );
    const handle = inside<HTMLElement>(chart, ".pick");
    handle.setPointerCapture = () => {}; // a made-up pointer cannot be captured
    handle.dispatchEvent(new PointerEvent("pointerdown", at(chart, 0.3)));
    handle.dispatchEvent(new PointerEvent("pointermove", at(chart, 0.4)));
    handle.dispatchEvent(new PointerEvent("pointermove", at(chart, 1.4)));
    handle.dispatchEvent(new PointerEvent("pointerup", at(chart, 1.4)));
    handle.dispatchEvent(new PointerEvent("pointermove", at(chart, 0.1)));
    expect(picks).toEqual([
      [30, true],
      [40, true],
      [100, true],
      [100, false],
    ]);
  });

  test("a real click picks where it falls", async () => {
    const picks: [number, boolean][] = [];
    const onPick = (x: number, live: boolean) => picks.push([x, live]);
    const chart = await show(
      html`<bole-chart label="Line" .draw=${plain()} .onPick=${onPick} pick-step="1"></bole-chart>`,
    );
    await userEvent.click(inside(chart, ".pick"));
    expect(picks).toEqual([
      [50, true],
      [50, false],
    ]);
  });

  test("keys move by a step, and the handle says where it stands", async () => {
    const picks: number[] = [];
    const chart = await show(
      html`<bole-chart
        label="Line"
        .draw=${plain()}
        .onPick=${(x: number) => picks.push(x)}
        .readOut=${(x: number) => `${x} parts`}
        picked="50"
        pick-step="2"
      ></bole-chart>`,
    );
    const handle = inside<HTMLElement>(chart, ".pick");
    handle.focus();
    await userEvent.keyboard("{ArrowRight}{PageUp}{ArrowLeft}{Home}{End}");
    expect(picks).toEqual([52, 72, 70, 0, 100]);
    await chart.updateComplete;
    expect(handle.getAttribute("aria-valuenow")).toBe("100");
    expect(handle.getAttribute("aria-valuetext")).toBe("100 parts");
    expect([handle.getAttribute("aria-valuemin"), handle.getAttribute("aria-valuemax")]).toEqual([
      "0",
      "100",
    ]);
  });
});

const draws: Record<string, ChartDraw> = Object.fromEntries(
  Object.entries(charts).map(([name, chart]) => [name, (_, size) => chart(size)]),
);

describe.each(Object.entries(draws))("the %s chart on the page", (name, draw) => {
  test.each([320, 860])(
    "draws at %d px without stray numbers, warnings or text beyond its edges",
    async (width) => {
      const chart = await show(
        html`<div .style=${`width:${width}px`}><bole-chart label=${name} .draw=${draw} .height=${name === "arrows" ? 460 : 300}></bole-chart></div>`,
      );
      const picture = pictureOf(chart);
      expect(picture.outerHTML).not.toMatch(/NaN|undefined|Infinity|⚠/);
      const frame = picture.getBoundingClientRect();
      for (const text of picture.querySelectorAll("text")) {
        const box = text.getBoundingClientRect();
        expect(Number.parseFloat(getComputedStyle(text).fontSize)).toBeGreaterThanOrEqual(15);
        expect(box.left, text.textContent!).toBeGreaterThanOrEqual(frame.left - 1);
        expect(box.right, text.textContent!).toBeLessThanOrEqual(frame.right + 1);
        expect(box.bottom, text.textContent!).toBeLessThanOrEqual(frame.bottom + 1);
      }
      // Small enough to be replaced in every frame of a drag.
      expect(picture.querySelectorAll("*").length).toBeLessThan(140);
    },
  );
});

describe("dashes and hatchings", () => {
  test("no two curves of the reflectance chart share a dash pattern, and the key shows the same ones", async () => {
    const chart = await show(html`<bole-chart label="Reflectance" .draw=${draws.reflectance}></bole-chart>`);
    const dash = (path: Element | null) => path!.getAttribute("stroke-dasharray") ?? "none";
    const lines = [...pictureOf(chart).querySelectorAll("g[aria-label=line]")];
    // Each curve is drawn twice, its edge first.
    const dashes = lines.filter((_, i) => i % 2 === 1).map(dash);
    expect(dashes).toHaveLength(6);
    expect(new Set(dashes).size).toBe(6);
    const entries = [...chart.shadowRoot!.querySelectorAll(".key li")];
    expect(entries.map((entry) => dash(entry.querySelector("path:last-of-type")))).toEqual(dashes);
  });

  test("hatchings of the light budget are defined in the picture itself", async () => {
    const chart = await show(html`<bole-chart label="Light" .draw=${draws.budget}></bole-chart>`);
    const picture = pictureOf(chart);
    const used = [...picture.querySelectorAll("[fill^='url(']")].map((path) => path.getAttribute("fill")!);
    expect(used.length).toBeGreaterThan(0);
    for (const fill of used) expect(picture.querySelector(fill.slice(4, -1))?.tagName).toBe("pattern");
  });

  test.each([320, 860])(
    "the key at %d px: every name whole, side by side or in rows, none on another",
    async (width) => {
      const chart = await show(
        html`<div .style=${`width:${width}px`}><bole-chart label="Reflectance" .draw=${draws.reflectance}></bole-chart></div>`,
      );
      const key = inside(chart, ".key");
      const names = [...key.querySelectorAll("span")];
      expect(names.map((name) => name.textContent)).toEqual([
        "target",
        "ground, black",
        "ground, grey",
        "on the bolsters",
        "on the seats",
        "opaque",
      ]);
      const boxes = names.map((name) => name.getBoundingClientRect());
      boxes.forEach((box, i) => {
        expect(box.right).toBeLessThanOrEqual(key.getBoundingClientRect().right + 1);
        for (const other of boxes.slice(i + 1))
          expect(
            box.right <= other.left || other.right <= box.left || box.bottom <= other.top + 1,
            names[i].textContent!,
          ).toBe(true);
      });
    },
  );

  test("picture and key together are as high as asked for, so that nothing below moves", async () => {
    const chart = await show(
      html`<bole-chart label="Reflectance" .draw=${draws.reflectance} .height=${340}></bole-chart>`,
    );
    const room = () => inside(chart, ".room").getBoundingClientRect().height;
    const sum = () =>
      inside(chart, ".key").getBoundingClientRect().height + pictureOf(chart).getBoundingClientRect().height;
    await expect.poll(sum).toBeLessThanOrEqual(341);
    expect(room()).toBeGreaterThanOrEqual(340);
    expect(room()).toBeLessThan(342);
  });

  test("a saved picture holds its key, and no name of a custom property", async () => {
    const chart = await show(html`<bole-chart label="Reflectance" .draw=${draws.reflectance}></bole-chart>`);
    const { svgText } = await import("../../../src/controls/chartFile.ts");
    const text = svgText({
      picture: pictureOf(chart),
      key: inside(chart, ".key"),
      title: "Reflectance",
      description: "",
    });
    for (const name of ["target", "ground, grey", "on the bolsters"])
      expect(text).toContain(`>${name}</text>`);
    expect(text).not.toMatch(/var\(|currentColor|<!--/);
    const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
    expect(parsed.querySelector("parsererror")).toBeNull();
    const [, top, , height] = parsed.documentElement.getAttribute("viewBox")!.split(" ").map(Number);
    // Words of the key stand above the picture, inside the file.
    for (const words of parsed.querySelectorAll("svg > g:first-of-type text")) {
      const y = Number(words.getAttribute("y")) + top;
      expect(y).toBeGreaterThan(top);
      expect(y).toBeLessThanOrEqual(top + height);
      expect(y).toBeLessThanOrEqual(0);
    }
  });
});

test("no accessibility violations with every chart on the page", async () => {
  await show(
    html`<h1>Charts</h1>
      ${Object.entries(draws).map(
        ([name, draw]) =>
          html`<bole-chart label=${name} summary="In words." .draw=${draw} .onPick=${() => {}}></bole-chart>`,
      )}`,
  );
  const { violations } = await axe.run(place);
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(" | ")}`)).toEqual(
    [],
  );
});
