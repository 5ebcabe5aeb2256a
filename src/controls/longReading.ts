import { html, nothing, type ReactiveController, type ReactiveControllerHost } from "lit";

/** A long task that a control asks its surroundings to run (`bole-run`); they put its result into `answer`. */
export interface RunRequest {
  readonly task: string;
  readonly args: unknown;
  readonly signal: AbortSignal;
  onProgress(share: number): void;
  answer?: Promise<unknown>;
}

/** The text of a file. */
export interface NamedText {
  readonly name: string;
  readonly text: string;
}

interface Reading {
  readonly name: string;
  readonly stop: AbortController;
  share: number | undefined;
}

/** A longer text would be felt while it is read. */
const longText = 200_000;

/**
 * Reads files for a control: short texts in place, long ones as a task of the surroundings, beside the page, with progress
 * and a way to stop. A newer file ends the reading of an older one.
 */
export class LongReading implements ReactiveController {
  readonly #host: ReactiveControllerHost & EventTarget;
  #reading: Reading | undefined;

  constructor(host: ReactiveControllerHost & EventTarget) {
    this.#host = host;
    host.addController(this);
  }

  /**
   * @param task the reader's name among the long tasks; takes a NamedText and gives what `inPlace` gives
   * @returns what was read; rejects with the words for the person, also when it was stopped
   */
  async read<Found>(
    task: string,
    { name, text }: NamedText,
    inPlace: () => Found | Promise<Found>,
  ): Promise<Found> {
    this.#reading?.stop.abort(new Error(`${this.#reading.name} was not read to its end: another file came`));
    this.#reading = undefined;
    if (text.length < longText) return inPlace();
    const stop = new AbortController();
    const reading: Reading = { name, stop, share: undefined };
    const detail: RunRequest = {
      task,
      args: { name, text },
      signal: stop.signal,
      onProgress: (share) => {
        reading.share = share;
        this.#host.requestUpdate();
      },
    };
    this.#host.dispatchEvent(new CustomEvent("bole-run", { detail, bubbles: true, composed: true }));
    // Nobody around that runs tasks, as for a control alone.
    if (!detail.answer) return inPlace();
    this.#reading = reading;
    this.#host.requestUpdate();
    try {
      return (await detail.answer) as Found;
    } finally {
      if (this.#reading === reading) this.#reading = undefined;
      this.#host.requestUpdate();
    }
  }

  hostDisconnected(): void {
    this.#reading?.stop.abort(new Error("The reading was stopped"));
  }

  /** How far the reading is, with a button that stops it; nothing while nothing is read. */
  shown() {
    if (!this.#reading) return nothing;
    const { name, share, stop } = this.#reading;
    return html`<div class="reading" role="status">
      <p>Reading ${name} …</p>
      <progress max="1" .value=${share ?? 0} aria-label=${`Reading ${name}`}></progress>
      <button type="button" @click=${() => stop.abort(new Error(`The reading of ${name} was stopped`))}>Stop</button>
    </div>`;
  }
}
