/** A request that is turned down, with the HTTP status, the reason in plain words, and fields for the answer. */
export class Refusal extends Error {
  constructor(
    readonly status: number,
    message: string,
    readonly fields: Record<string, unknown> = {},
  ) {
    super(message);
    this.name = "Refusal";
  }
}
