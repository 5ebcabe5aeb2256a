/** Sends a control's own event: it bubbles, and stays inside the tree the control stands in. */
export function emit<Detail>(host: HTMLElement, type: string, detail: Detail): void {
  host.dispatchEvent(new CustomEvent<Detail>(type, { detail, bubbles: true }));
}

/** Asks whatever is around for something: the event leaves the tree that the element stands in. */
export function ask(host: HTMLElement, type: string, detail: object = {}): void {
  host.dispatchEvent(new CustomEvent(type, { detail, bubbles: true, composed: true }));
}

/** Native `input` events would leave the shadow tree and pass for the control's own; this stops them. */
export function keepInside(event: Event): void {
  event.stopPropagation();
}
