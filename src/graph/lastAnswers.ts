/** Askers whose last answer is kept; beyond that the one that asked longest ago is forgotten. */
const mostAskers = 12;

/**
 * The last answer given to each asker, so that a question which a change did not touch, or that another asked just so, is
 * answered at once.
 * Answers depend on nothing but their question, told by its signature.
 */
export class LastAnswers<Answer> {
  readonly #kept = new Map<string, { signature: string; answer: Answer }>();

  /** Whether this asker has asked anything yet. */
  knows(asker: string): boolean {
    return this.#kept.has(asker);
  }

  /** The answer to this very question, if it was the last of this asker or of another. */
  get(asker: string, signature: string): Answer | undefined {
    const own = this.#kept.get(asker);
    if (own?.signature === signature) return own.answer;
    for (const { signature: asked, answer } of this.#kept.values()) if (asked === signature) return answer;
    return undefined;
  }

  keep(asker: string, signature: string, answer: Answer): Answer {
    this.#kept.delete(asker);
    this.#kept.set(asker, { signature, answer });
    if (this.#kept.size > mostAskers) this.#kept.delete(this.#kept.keys().next().value!);
    return answer;
  }
}
