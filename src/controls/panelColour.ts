import { html, type TemplateResult } from "lit";
import { displayColour, type ScreenGamut } from "../colour/display.ts";

interface Lit {
  readonly weights: { readonly white: ArrayLike<number> };
  readonly gamut: ScreenGamut;
}

/** Screen colour of tristimulus values under a viewing cell's main light. */
export function screenColour(XYZ: ArrayLike<number>, viewing: Lit): { css: string; badge: string } {
  const { css, inGamut } = displayColour(XYZ, viewing.weights.white, viewing.gamut);
  return { css, badge: inGamut ? "" : "beyond this screen" };
}

/** A panel of one colour, or of a sample beside its target. */
export function panel(
  options: { label: string; subLabel?: string; sampleLabel?: string; targetLabel?: string },
  XYZ: ArrayLike<number>,
  viewing: Lit,
  target?: ArrayLike<number>,
): TemplateResult {
  const shown = screenColour(XYZ, viewing);
  return html`<bole-swatch
    .colour=${shown.css}
    .badge=${shown.badge}
    .label=${options.label}
    .subLabel=${options.subLabel ?? ""}
    .sampleLabel=${options.sampleLabel ?? "sample"}
    .targetLabel=${options.targetLabel ?? "target"}
    .target=${target ? screenColour(target, viewing).css : ""}
  ></bole-swatch>`;
}
