import { html, nothing, type TemplateResult } from "lit";
import { differenceText, LabText } from "./numbers.ts";

/** A curve that was made to have a Lab, as far as this table needs to know it. */
interface Shown {
  readonly from: "smoothest" | "mixture";
  readonly mixture?: {
    readonly parts: readonly { readonly name: string; readonly share: number }[];
    readonly deltaE: number;
  };
  readonly lights: readonly {
    readonly illuminant: string;
    readonly Lab: ArrayLike<number>;
    readonly median: number;
    readonly ninety: number;
  }[];
}

/**
 * Words and figures for a curve that is one of many with its Lab. Goes into a view that has the shared styles.
 * @param nameOf words for a light
 */
export function assumedCurve(curve: Shown, nameOf: (illuminant: string) => string): TemplateResult {
  const { mixture, lights } = curve;
  return html`
    <p>
      <strong>One of many.</strong> Every curve that passes through this Lab would do; in other lights the part itself may look
      different.
      ${
        mixture
          ? html`This one has the shape of the nearest mixture of the linked pastes:
              ${mixture.parts.map(({ name, share }, i) => `${i > 0 ? ", " : ""}${name} ${share.toFixed(0)} %`).join("")}${
                mixture.deltaE > 0.5
                  ? html`, which by itself misses the Lab by ΔE00 ${differenceText(mixture.deltaE)}`
                  : nothing
              }.`
          : html`This one is the smoothest.`
      }
    </p>
    <div class="scroll" tabindex="0" role="region" aria-label="This Lab in other lights">
      <table>
        <caption class="unseen">The curve's colour in other lights, and how far other curves with the same Lab may lie from it</caption>
        <thead>
          <tr>
            <th scope="col">Light</th>
            <th scope="col">Colour of this curve there</th>
            <th scope="col" class="number">Half of other curves within ΔE00</th>
            <th scope="col" class="number">Nine of ten within</th>
          </tr>
        </thead>
        <tbody>
          ${lights.map(
            ({ illuminant, Lab, median, ninety }) => html`<tr>
              <th scope="row">${nameOf(illuminant)}</th>
              <td>${LabText(Lab)}</td>
              <td class="number">${differenceText(median)}</td>
              <td class="number">${differenceText(ninety)}</td>
            </tr>`,
          )}
        </tbody>
      </table>
    </div>
  `;
}
