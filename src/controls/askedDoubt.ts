import { html, nothing, type ReactiveController, type ReactiveControllerHost } from "lit";
import { messageOf } from "../graph/messageOf.ts";
import { type DoubtName, doubtOf, doubts, type ReadingAnswers } from "../tables/doubt.ts";

/** Asks what a file leaves in doubt: the question with a press for each answer, after which the file is read again. */
export class AskedDoubt implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  #asked: { name: DoubtName; words: string; again: (answers: ReadingAnswers) => void } | undefined;
  #answers: ReadingAnswers = {};

  constructor(host: ReactiveControllerHost) {
    this.#host = host;
    host.addController(this);
  }

  hostConnected(): void {}

  /** Another file: what was asked and answered for the one before counts no more. */
  forget(): void {
    this.#asked = undefined;
    this.#answers = {};
    this.#host.requestUpdate();
  }

  /**
   * @param again reads the file once more, with all answers given so far
   * @returns whether the error is a question, which is then shown
   */
  ask(error: unknown, again: (answers: ReadingAnswers) => void): boolean {
    const name = doubtOf(error);
    // What was answered is not asked a second time.
    if (name === undefined || this.#answers[name] !== undefined) return false;
    this.#asked = { name, words: messageOf(error).split(" On the command line:")[0], again };
    this.#host.requestUpdate();
    return true;
  }

  /** The question, or nothing while none is open. */
  shown() {
    if (!this.#asked) return nothing;
    const { name, words } = this.#asked;
    return html`<div class="doubt" role="group" aria-label="A question about the file">
      <bole-message kind="caution" .text=${words}></bole-message>
      <div class="buttons">
        ${doubts[name].answers.map(({ value, label }) => html`<button type="button" @click=${() => this.#answer(value)}>${label}</button>`)}
      </div>
    </div>`;
  }

  #answer(value: string): void {
    const { name, again } = this.#asked!;
    this.#answers = { ...this.#answers, [name]: value };
    this.#asked = undefined;
    this.#host.requestUpdate();
    again(this.#answers);
  }
}
