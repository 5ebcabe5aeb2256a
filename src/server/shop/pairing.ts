import { createHash, randomBytes, randomInt, timingSafeEqual } from "node:crypto";
import { Refusal } from "../refusal.ts";

/** How long a code is good, and how long a device may wait to be confirmed, ms. */
export const goodForMs = 120_000;
const mostWrong = 5;
const mostAsking = 3;

/** A device that has shown the code and waits for the person at the computer. */
interface Asking {
  readonly id: string;
  readonly name: string;
  /** Address that it came from. */
  readonly from: string;
  /** Shown on both screens, so that the person knows which device it is that asks. */
  readonly mark: string;
}

interface Waiting extends Asking {
  readonly hash: Buffer;
  readonly until: number;
  answer: "waiting" | "refused" | "admitted";
}

/** What the computer shows so that a device can be paired. */
interface Offer {
  readonly code: string;
  readonly secret: string;
  readonly until: number;
}

/**
 * Lets devices ask to be let in. The computer makes an offer: a secret of 128 bits for the camera, and six digits for the
 * fingers. Either is good once, for two minutes, and five wrong tries close it: a guess comes true in five of a million.
 * Whoever shows it has not come in yet, but may wait for the person at the computer to say yes.
 */
export class Pairing {
  readonly #now: () => number;
  #offer: (Offer & { wrong: number }) | undefined;
  #waiting: Waiting[] = [];

  /** @param now a clock that never goes back, ms */
  constructor(now: () => number = () => performance.now()) {
    this.#now = now;
  }

  /** A new offer, in the place of any earlier one. */
  begin(): Offer {
    const code = String(randomInt(1_000_000)).padStart(6, "0");
    const secret = randomBytes(16).toString("base64url");
    this.#offer = { code, secret, until: this.#now() + goodForMs, wrong: 0 };
    return this.#offer;
  }

  end(): void {
    this.#offer = undefined;
  }

  /** The offer that is open, with the time that is left, ms. */
  get offer(): { readonly code: string; readonly secret: string; readonly left: number } | undefined {
    const offer = this.#open();
    return offer && { code: offer.code, secret: offer.secret, left: Math.max(0, offer.until - this.#now()) };
  }

  /** Devices that wait for a yes. */
  get asking(): readonly Asking[] {
    return this.#still()
      .filter(({ answer }) => answer === "waiting")
      .map(({ id, name, from, mark }) => ({ id, name, from, mark }));
  }

  /**
   * A device shows the code or the secret.
   *
   * @returns the knock by which it waits, known to it alone, and the mark to compare
   * @throws Refusal (403) in the same words whatever was wrong
   */
  ask(
    shown: { code?: unknown; secret?: unknown },
    name: string,
    from: string,
  ): { knock: string; mark: string } {
    const offer = this.#open();
    const isRight =
      offer !== undefined &&
      (typeof shown.secret === "string"
        ? isSame(shown.secret, offer.secret)
        : typeof shown.code === "string" && isSame(shown.code, offer.code));
    if (!isRight) {
      if (offer && ++offer.wrong >= mostWrong) this.#offer = undefined;
      throw new Refusal(403, "This code is not good, or not any more. Ask for a new one at the computer.", {
        reason: "code",
      });
    }
    this.#offer = undefined;
    const waiting = this.#still();
    if (waiting.length >= mostAsking) throw new Refusal(503, "Too many devices are waiting. Try again soon.");
    const knock = randomBytes(32).toString("base64url");
    const mark = String(randomInt(10_000)).padStart(4, "0");
    this.#waiting = [
      ...waiting,
      {
        id: randomBytes(8).toString("hex"),
        name,
        from,
        mark,
        hash: hashOf(knock),
        until: this.#now() + goodForMs,
        answer: "waiting",
      },
    ];
    return { knock, mark };
  }

  /**
   * The person at the computer has decided.
   *
   * @throws Refusal (404) when the device does not wait any more
   */
  decide(id: string, admit: boolean): void {
    const found = this.#still().find((one) => one.id === id && one.answer === "waiting");
    if (!found) throw new Refusal(404, "This device does not wait any more. Pair it again.");
    found.answer = admit ? "admitted" : "refused";
  }

  /**
   * A device asks what has become of its knock. A yes or no is told once.
   *
   * @throws Refusal (403) for a knock that is not known, or not any more
   */
  outcome(knock: unknown): { readonly answer: "waiting" | "refused" | "admitted"; readonly name: string } {
    const hash = hashOf(typeof knock === "string" ? knock : "");
    const found = this.#still().find((one) => timingSafeEqual(one.hash, hash));
    if (!found)
      throw new Refusal(403, "The computer did not say yes in time. Begin again.", { reason: "code" });
    if (found.answer !== "waiting") this.#waiting = this.#waiting.filter((one) => one !== found);
    return { answer: found.answer, name: found.name };
  }

  #open() {
    if (this.#offer && this.#now() >= this.#offer.until) this.#offer = undefined;
    return this.#offer;
  }

  #still(): Waiting[] {
    const now = this.#now();
    this.#waiting = this.#waiting.filter(({ until }) => now < until);
    return this.#waiting;
  }
}

function isSame(given: string, wanted: string): boolean {
  return timingSafeEqual(hashOf(given), hashOf(wanted));
}

function hashOf(text: string): Buffer {
  return createHash("sha256").update(text).digest();
}
