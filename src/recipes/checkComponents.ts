import { beyondAnyPaint, type Component } from "../coating/component.ts";
import { ofLength, wholeNumber } from "../colour/checks.ts";

/** @throws RangeError when the component that fills a mix up is not one of them */
export function checkBinder(components: readonly Component[], binderIndex: number): void {
  wholeNumber("index of the binder", binderIndex);
  if (binderIndex >= components.length) {
    throw new RangeError(`index of the binder = ${binderIndex}: must be below ${components.length}`);
  }
}

/** @throws TypeError when K or S of a component is not on a grid of this length, RangeError for more than any paint has */
export function checkSpectra(components: readonly Component[], length: number): void {
  for (const component of components) {
    const { name, absorption, scattering } = component;
    ofLength(`absorption of ${name}`, absorption, length);
    ofLength(`scattering of ${name}`, scattering, length);
    const beyond = beyondAnyPaint(component);
    if (beyond !== undefined) throw new RangeError(beyond);
  }
}
