/** Sends a control's own event: it bubbles, and stays inside the tree the control stands in. */
export function emit<Detail>(host: HTMLElement, type: string, detail: Detail): void {
  host.dispatchEvent(new CustomEvent<Detail>(type, { detail, bubbles: true }));
}

/** Native `input` events would leave the shadow tree and pass for the control's own; this stops them. */
export function keepInside(event: Event): void {
  event.stopPropagation();
}
