/** Keeps the last answers of a pure function by a text of what was asked, so that a press computes only what is new. */
export class Memory<Answer> {
  readonly #answers = new Map<string, Answer>();
  readonly #most: number;

  constructor(most: number) {
    this.#most = most;
  }

  of(asked: unknown, compute: () => Answer): Answer {
    const key = JSON.stringify(asked, (_, value) =>
      ArrayBuffer.isView(value) ? [...(value as Float64Array)] : value,
    );
    const known = this.#answers.get(key);
    if (known !== undefined) return known;
    const answer = compute();
    if (this.#answers.size >= this.#most) this.#answers.delete(this.#answers.keys().next().value!);
    this.#answers.set(key, answer);
    return answer;
  }
}
