import { html, nothing, type ReactiveController, type ReactiveControllerHost } from "lit";
import type { ReadingAnswers } from "../tables/doubt.ts";
import type { LongTask, RunTask } from "../tasks/longTask.ts";

/** A control has a long task to run: its surroundings hand it what runs tasks (`bole-run`). */
export interface RunRequest {
  runBy(run: RunTask): void;
}

/** The text of a file. */
export interface NamedText {
  readonly name: string;
  readonly text: string;
  /** to what the file leaves in doubt */
  readonly answers?: ReadingAnswers;
}

/** A reader of files: as a long task, and in place. */
export interface TextReader<Found> {
  readonly task: LongTask<NamedText, Found>;
  /** Throws an error with the words for the person. */
  inPlace(name: string, text: string, answers?: ReadingAnswers): Found | Promise<Found>;
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

  /** @returns what was read; rejects with the words for the person, also when it was stopped */
  async read<Found>(
    { task, inPlace }: TextReader<Found>,
    { name, text, answers }: NamedText,
  ): Promise<Found> {
    this.#reading?.stop.abort(new Error(`${this.#reading.name} was not read to its end: another file came`));
    this.#reading = undefined;
    if (text.length < longText) return inPlace(name, text, answers);
    const reading: Reading = { name, stop: new AbortController(), share: undefined };
    const onProgress = (share: number) => {
      reading.share = share;
      this.#host.requestUpdate();
    };
    let answer: Promise<Found> | undefined;
    const detail: RunRequest = {
      runBy: (run) => {
        answer = run(task, { name, text, answers }, { signal: reading.stop.signal, onProgress });
      },
    };
    this.#host.dispatchEvent(new CustomEvent("bole-run", { detail, bubbles: true, composed: true }));
    // Nobody around that runs tasks, as for a control alone.
    if (!answer) return inPlace(name, text, answers);
    this.#reading = reading;
    this.#host.requestUpdate();
    try {
      return await answer;
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
