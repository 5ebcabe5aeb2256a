/** What to draw down for a calibration, and why (common practice). */
export const worksheetSteps: readonly { readonly what: string; readonly why: string }[] = [
  {
    what: "Measure the bare card first, its black and its white.",
    why: "Everything is read against them.",
  },
  {
    what: "The paste alone (in binder, no white): two films, a thin and a thick one, over black and white.",
    why: "Two thicknesses tell strength from film build, and show where the theory bends.",
  },
  {
    what: "Three let-downs with your known white: about 1:2, 1:10 and 1:40 by weight.",
    why: "White brings the scattering of the paste out, and ties its strength to a paste that is already known.",
  },
  {
    what: "Write down what you weighed, to 0.01 g, and which wet gap you used.",
    why: "Amounts by mass are turned to volume by the densities.",
  },
  {
    what: "Measure one dry film with a gauge, or more.",
    why: "One measured film fixes the scale of all the others.",
  },
  {
    what: "Read each film three times on different spots, over black and over white.",
    why: "The spread of the readings is where the error bars come from.",
  },
  {
    what: "Keep the specular setting of the instrument the same throughout, and note it.",
    why: "Included and excluded differ by about 4 % everywhere.",
  },
];

/** The worksheet as a page of its own, to be printed. */
export function worksheetHtml(paste: string): string {
  const safe = paste.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);
  const row = (label: string) => `<tr><th>${label}</th>${"<td></td>".repeat(7)}</tr>`;
  const films = [
    "bare card",
    "masstone, thin",
    "masstone, thick",
    "let-down 1:2",
    "let-down 1:10",
    "let-down 1:40",
    "",
    "",
  ];
  return `<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><title>Drawdowns of ${safe}</title>
<style>
body{font:12pt sans-serif;margin:15mm;color:#000}
table{border-collapse:collapse;width:100%}
th,td{border:1px solid #000;padding:3mm 2mm;text-align:left;font-size:10pt}
li{margin-bottom:2mm}
</style></head><body>
<h1>Drawdowns of ${safe}</h1>
<p>Density ______ g/mL &nbsp; volume solids ______ % &nbsp; measured by ____________ on ____________ &nbsp; instrument ____________ &nbsp; specular included / excluded</p>
<ol>${worksheetSteps.map(({ what, why }) => `<li><b>${what}</b> ${why}</li>`).join("")}</ol>
<table><thead><tr><th>Film</th><th>paste, g</th><th>white, g</th><th>binder, g</th><th>gap or dry, µm</th><th>over black</th><th>over white</th><th>remarks</th></tr></thead>
<tbody>${films.map(row).join("")}</tbody></table>
<p>Follow the label and the safety data sheet of the paste. Ventilate; keep off the skin.</p>
</body></html>
`;
}
