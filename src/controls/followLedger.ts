import type { LitElement, ReactiveController } from "lit";
import { ledger } from "../ledger/atHand.ts";

/** Draws an element anew whenever the ledger of panels has changed. */
export class FollowLedger implements ReactiveController {
  readonly #changed: () => void;

  constructor(host: LitElement) {
    this.#changed = () => host.requestUpdate();
    host.addController(this);
  }

  hostConnected(): void {
    ledger.addEventListener("change", this.#changed);
  }

  hostDisconnected(): void {
    ledger.removeEventListener("change", this.#changed);
  }
}
