import { seenFromMeasured } from "../coating/eye.ts";
import { displayColour } from "../colour/display.ts";
import { coatCounts, coatsSaid, layerOf } from "../job/batch.ts";
import { moneyText, type ReasonId } from "../job/price.ts";
import type { Comparison, CustomerQuote, Quote } from "../job/quote.ts";
import { eyeConditions } from "../ports/seenTarget.ts";
import { durationText } from "../units/units.ts";
import { plural } from "../words/plural.ts";
import {
  escaped,
  linkHtml,
  type NotebookLink,
  type PrintedPage,
  pageDocument,
  pageStyles,
  panelPicture,
  shortened,
} from "./paper.ts";

/** The quote for the customer: what will be done and why it costs what it does, in everyday words. */
export function customerPage(
  quote: CustomerQuote,
  words: { readonly title: string; readonly date?: string },
  link?: NotebookLink,
): PrintedPage {
  const { batch, rates, job, comparison } = quote;
  const { coverage } = batch;
  const money = (amount: number) => moneyText(amount, rates.currency);
  const { price } = job;
  const colour = coverage.targetSeen?.label ?? "the agreed colour";
  const html = `<article class="page">
<header class="top">
<div><h1>${escaped(shortened(words.title, 70))}</h1><p>${escaped(partsWords(quote))}</p></div>
<div class="meta">${quote.customer ? `<p>For ${escaped(shortened(quote.customer, 80))}</p>` : ""}${words.date ? `<p>${escaped(shortened(words.date, 40))}</p>` : ""}</div>
</header>
${customerPanels(quote)}
<section class="words"><h2>What we do</h2>${workWords(quote, colour)
    .map((text) => `<p>${escaped(text)}</p>`)
    .join("")}</section>
${comparison ? `<section class="words"><h2>Why this colour costs what it does</h2>${whyWords(comparison, quote)}</section>` : ""}
<section><h2>Price</h2><table><tbody>
${priceGroups(quote)
  .map(
    ([label, amount]) =>
      `<tr><th scope="row">${escaped(label)}</th><td class="n">${escaped(money(amount))}</td></tr>`,
  )
  .join("")}
<tr><th scope="row">Together, before tax</th><td class="n">${escaped(money(price.net))}</td></tr>
<tr><th scope="row">Tax (${(100 * rates.tax).toFixed(rates.tax * 100 === Math.round(rates.tax * 100) ? 0 : 1)} %)</th><td class="n">${escaped(money(price.tax))}</td></tr>
<tr class="total"><th scope="row">Price</th><td class="n">${escaped(money(price.total))}</td></tr>
</tbody></table></section>
<section class="words"><h2>Good to know</h2><p>The panels above are pictures on paper or a screen: we agree the colour on a real painted panel, in daylight and in the light of the room.</p><p>${escaped(cureWords(quote))}</p></section>
${link ? `<p class="foot">${linkHtml(link)}</p>` : ""}
</article>`;
  return { html, styles: pageStyles(10.5) };
}

/** The customer's page as a document of its own. */
export function customerDocument(
  quote: CustomerQuote,
  words: { readonly title: string; readonly date?: string },
): string {
  return pageDocument(words.title, customerPage(quote, words));
}

const mostPanels = 6;

function partsWords({ batch }: Quote): string {
  const named = batch.parts.slice(0, 5).map(({ name, count }) => `${count} × ${shortened(name, 30)}`);
  const more = batch.parts.length - named.length;
  return named.join(", ") + (more > 0 ? ` and ${more} more` : "");
}

function customerPanels({ batch: { coverage } }: Quote): string {
  const { viewing, targetSeen, parts } = coverage;
  const css = (XYZ: ArrayLike<number>) => displayColour(XYZ, viewing.weights.white, viewing.gamut).css;
  const wanted = targetSeen
    ? [
        `<figure>${panelPicture([css(targetSeen.XYZ)], "the colour wanted")}<figcaption><b>The colour</b>${escaped(shortened(targetSeen.label, 36))}</figcaption></figure>`,
      ]
    : [];
  const shown = parts.slice(0, mostPanels - wanted.length).map(({ substrate, painted }) => {
    const before = seenFromMeasured(substrate.measured, "included", eyeConditions(viewing));
    const colours = [css(before.XYZ), css(painted.XYZ)];
    return `<figure>${panelPicture(colours, `${substrate.name}: before and after`)}<figcaption><b>${escaped(shortened(substrate.name, 36))}</b>before and after</figcaption></figure>`;
  });
  return `<section class="panels">${[...wanted, ...shown].join("")}</section>`;
}

function workWords({ batch }: Quote, colour: string): string[] {
  const light = batch.coverage.parts.every((part) => part.groundSeen.Lab[0] > 60);
  const kinds = batch.layers.map(({ kind }) => kind);
  const coats = (kind: "basecoat" | "clear") => layerOf(batch, kind)?.coats.length ?? 0;
  const said = coatsSaid(batch, "colour");
  const colourCoats = said === "1" ? "1 coat" : `${said} coats`;
  const first = [
    kinds.includes("cleaner") ? "We clean and mask every part" : "We mask every part",
    kinds.includes("adhesion") ? "and lay a thin coat that makes the colour hold" : "",
  ]
    .filter(Boolean)
    .join(" ");
  return [
    `${first}.`,
    kinds.includes("basecoat")
      ? `Then comes a ${light ? "light " : ""}ground (${plural(coats("basecoat"), "coat")}), so that all parts look alike under the colour, and the colour itself: ${shortened(colour, 60)}, ${colourCoats}.`
      : `Then comes the colour itself: ${shortened(colour, 60)}, ${colourCoats}.`,
    ...(kinds.includes("clear")
      ? [`Clear coats on top (${coats("clear")}) guard the colour against rubbing and set its sheen.`]
      : []),
  ];
}

function whyWords({ reasons, priceRatio, name, coats, job }: Comparison, quote: Quote): string {
  const { batch } = quote;
  const colourLayer = layerOf(batch, "colour");
  const own = colourLayer ? Math.max(...coatCounts(colourLayer, batch.parts)) : 0;
  const perLitre = (b: typeof batch | Comparison["job"]["batch"]) =>
    layerOf(b, "colour")?.recipe?.costPerMl ?? 0;
  const ratio = perLitre(batch) / (perLitre(job.batch) || 1);
  const sentences: Record<ReasonId, string> = {
    basecoat: "The colour lets light through: without a ground of its own the old colour would show.",
    coats:
      own > coats
        ? `It takes ${coatsSaid(batch, "colour")} coats of the colour instead of ${coats}, so more of it and more time.`
        : "More of the colour is needed.",
    pigment: `Its pigments are dearer: a litre of the mix costs ${ratio.toFixed(1)} times as much.`,
    development:
      quote.job.trials > job.trials
        ? "The ground and the colour have to be found together on trial panels, each with all its coats."
        : "It takes longer to find on trial panels.",
    rest: "More cups, strainers and left-over paint to take away.",
  };
  const money = (amount: number) => moneyText(amount, quote.rates.currency);
  const telling = reasons.filter(({ price }) => price > 0.005 * quote.job.price.net);
  if (priceRatio < 1.05 || telling.length === 0)
    return "<p>It costs about as much as any colour that covers well.</p>";
  return `<p>${escaped(`The same work in a colour that covers well (${shortened(name, 60)}) would cost ${money(job.price.net)} before tax. This one costs ${priceRatio.toFixed(1)} times that, because:`)}</p><table><tbody>${telling
    .map(
      ({ id, price }) =>
        `<tr><td>${escaped(sentences[id])}</td><td class="n">+ ${escaped(money(price))}</td></tr>`,
    )
    .join("")}</tbody></table>`;
}

/** Lines of the price that a customer can tell apart. */
function priceGroups({ job }: Quote): [string, number][] {
  const sum = (...ids: string[]) =>
    job.price.lines.filter(({ id }) => ids.includes(id)).reduce((total, { price }) => total + price, 0);
  const groups: [string, number][] = [
    ["Cleaning, masking and the coat that makes it hold", sum("cleaner", "adhesion")],
    ["Finding the colour, with trial panels", sum("development")],
    ["Ground and colour", sum("basecoat", "colour")],
    ["Protective clear coats", sum("clear")],
    ["Cups, strainers, waste", sum("sundries")],
  ];
  return groups.filter(([, amount]) => amount > 0);
}

function cureWords({ job }: Quote): string {
  const { plan, pace } = job.day;
  const days = plural(plan.days, "working day");
  return (
    `The work on the parts takes ${days}; then they cure for ${durationText(pace.cure)} before they can be handled. ` +
    "Clean them with a soft damp cloth only in the first weeks. Air-bag covers and belts are never coated."
  );
}
