/** How far a finger trembles when it taps, px (common practice). */
const tremble = 8;

/** What a gesture has turned out to be: not known yet, one that sets a value, or one that is left to the page. */
type Meaning = "open" | "drag" | "scroll";

/** Whether a swipe of this pointer scrolls the page. */
export const canSwipe = ({ pointerType }: PointerEvent): boolean =>
  pointerType === "touch" || pointerType === "pen";

/**
 * Tells apart what a finger means on something that is set by sideways movement: a tap and a sideways drag set a value, a
 * swipe up or down scrolls the page. A mouse cannot scroll by dragging, so it sets from the first press on.
 */
export class FingerGesture {
  #pointer: number | undefined;
  #from = { x: 0, y: 0 };
  #meaning: Meaning = "scroll";
  /** The browser scrolls sideways here too: such a swipe leads to what stands beside. */
  #isPassedOn = false;

  /** Whether a gesture is under way, whatever it means. */
  get isUnderWay(): boolean {
    return this.#pointer !== undefined;
  }

  get meaning(): Meaning {
    return this.#meaning;
  }

  /** A finger or the main button goes down; a second finger changes nothing. */
  press(event: PointerEvent): Meaning {
    const { pointerId, clientX, clientY } = event;
    if (this.#pointer !== undefined && this.#pointer !== pointerId) return "scroll";
    this.#pointer = pointerId;
    this.#from = { x: clientX, y: clientY };
    const { currentTarget: on } = event;
    this.#isPassedOn = on instanceof Element && getComputedStyle(on).touchAction.includes("pan-x");
    this.#meaning = canSwipe(event) ? "open" : "drag";
    return this.#meaning;
  }

  /** It moves; the first movement beyond a tremble decides. */
  move({ pointerId, clientX, clientY }: PointerEvent): Meaning {
    if (pointerId !== this.#pointer) return "scroll";
    if (this.#meaning !== "open") return this.#meaning;
    const [across, down] = [Math.abs(clientX - this.#from.x), Math.abs(clientY - this.#from.y)];
    if (Math.max(across, down) > tremble)
      this.#meaning = across > down && !this.#isPassedOn ? "drag" : "scroll";
    return this.#meaning;
  }

  /** It goes up: whether it was a tap. */
  release({ pointerId }: PointerEvent): { readonly isTap: boolean; readonly meaning: Meaning } {
    if (pointerId !== this.#pointer) return { isTap: false, meaning: "scroll" };
    const meaning = this.#meaning;
    this.#pointer = undefined;
    this.#meaning = "scroll";
    return { isTap: meaning === "open", meaning };
  }
}
