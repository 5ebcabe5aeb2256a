/** Askers whose last answer is kept; beyond that the one that asked longest ago is forgotten. */
const mostAskers = 12;

/**
 * The last answer given to each asker, so that a question which a change did not touch is answered at once.
 * Answers depend on nothing but their question, told by its signature.
 */
export class LastAnswers<Answer> {
  readonly #kept = new Map<string, { signature: string; answer: Answer }>();

  /** Whether this asker has asked anything yet. */
  knows(asker: string): boolean {
    return this.#kept.has(asker);
  }

  /** The answer to this very question, if it was this asker's last. */
  get(asker: string, signature: string): Answer | undefined {
    const kept = this.#kept.get(asker);
    return kept?.signature === signature ? kept.answer : undefined;
  }

  keep(asker: string, signature: string, answer: Answer): Answer {
    this.#kept.delete(asker);
    this.#kept.set(asker, { signature, answer });
    if (this.#kept.size > mostAskers) this.#kept.delete(this.#kept.keys().next().value!);
    return answer;
  }
}
