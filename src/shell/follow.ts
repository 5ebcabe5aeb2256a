import type { LitElement, ReactiveController } from "lit";

/** Does something, by default draws the element anew, whenever a source tells of a change by its event `change`. */
export class Follow implements ReactiveController {
  readonly #host: LitElement;
  readonly #sourceOf: () => EventTarget | undefined;
  readonly #changed: () => void;
  #source: EventTarget | undefined;

  /** @param sourceOf tells the source; asked again at every update */
  constructor(
    host: LitElement,
    sourceOf: () => EventTarget | undefined,
    changed = () => host.requestUpdate(),
  ) {
    this.#host = host;
    this.#sourceOf = sourceOf;
    this.#changed = changed;
    host.addController(this);
  }

  hostConnected(): void {
    this.hostUpdate();
  }

  hostUpdate(): void {
    const source = this.#host.isConnected ? this.#sourceOf() : undefined;
    if (source === this.#source) return;
    this.hostDisconnected();
    this.#source = source;
    source?.addEventListener("change", this.#changed);
  }

  hostDisconnected(): void {
    this.#source?.removeEventListener("change", this.#changed);
    this.#source = undefined;
  }
}
