import { html, render } from "lit";
import { expect, test } from "vitest";
import { page } from "vitest/browser";
import { budgetChart } from "../../../src/charts/budgetChart.ts";
import { ratioChart } from "../../../src/charts/ratioChart.ts";
import type { ChartDraw } from "../../../src/controls/boleChart.ts";
import "../../../src/controls/boleChart.ts";
import "../../../src/controls/boleFile.ts";
import "../../../src/controls/index.ts";

const wavelengths = [400, 500, 600, 700];
const bands = ["back", "coat"].map((label) => ({ label, share: [0.5, 0.5, 0.5, 0.5], colour: "#808080" }));
const budget: ChartDraw = (Plot, size) => budgetChart(Plot, { wavelengths, bands }, size);
const ratio: ChartDraw = (Plot, size) =>
  ratioChart(
    Plot,
    {
      ratios: [0, 1],
      deltaE: [2, 1],
      colours: ["#800000", "#a00000"],
      best: 1,
      current: 0,
      tolerance: 1,
      xLabel: "Cream, %",
      yLabel: "ΔE00",
    },
    size,
  );

// In a file of its own: the policy stays for the rest of the page's life.
test("controls and charts need no inline styles", async () => {
  await page.viewport(900, 2400);
  const violations: string[] = [];
  document.addEventListener("securitypolicyviolation", (event) => violations.push(event.violatedDirective));
  const policy = document.createElement("meta");
  policy.httpEquiv = "Content-Security-Policy";
  policy.content = "style-src 'self'";
  document.head.append(policy);
  const place = document.body.appendChild(document.createElement("main"));
  render(
    html`
      <bole-number label="Coats" .value=${9} .min=${0} .max=${8}></bole-number>
      <bole-slider label="Cream" .value=${50}></bole-slider>
      <bole-choice label="Light" .options=${[{ value: "A", label: "A" }]} value="B"></bole-choice>
      <bole-toggle label="Specular"></bole-toggle>
      <bole-text label="Note" multiline></bole-text>
      <bole-file label="Target"></bole-file>
      <bole-swatch colour="#800" target="#900" label="Seats" badge="beyond this screen"></bole-swatch>
      <bole-message kind="error" text="Too many."></bole-message>
      <bole-chart label="Light" .draw=${budget} .readOut=${(x: number) => `${x}`}></bole-chart>
      <bole-chart label="Blend" .draw=${ratio} .onPick=${() => {}}></bole-chart>
    `,
    place,
  );
  const charts = [...place.querySelectorAll("bole-chart")];
  await expect
    .poll(() => charts.every((chart) => chart.shadowRoot!.querySelector(".picture svg")))
    .toBe(true);
  charts[0]
    .shadowRoot!.querySelector(".picture")!
    .dispatchEvent(new PointerEvent("pointermove", { clientX: 200, clientY: 50, bubbles: true }));
  await expect.poll(() => charts[0].shadowRoot!.querySelector(".reading")?.textContent).toBeTruthy();
  // The panel still has its colour.
  const half = place.querySelector("bole-swatch")!.shadowRoot!.querySelectorAll(".half")[1];
  expect(getComputedStyle(half).backgroundColor).toBe("rgb(136, 0, 0)");

  // The check can fail: an inline style is noticed. Violations are told in order, so none came before this one.
  place.setAttribute("style", "color: red");
  await expect.poll(() => violations.length).toBeGreaterThan(0);
  expect(violations).toEqual(["style-src-attr"]);
});
