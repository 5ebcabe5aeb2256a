import { setTimeout as delay } from "node:timers/promises";
import type { Driver, ElementRef, InputSource } from "./driver.ts";
import { type Kind, seek, textIn, watchFaults } from "./inPage.ts";

const waitMs = 30_000;

/** Keys by their WebDriver names. Source: W3C WebDriver, 15.4.2 */
export const keys = { enter: "\uE007", tab: "\uE004" } as const;

/** Text that has to be met as it stands, or a pattern. */
type Name = string | RegExp;

/** A page of the workbench in a browser that is driven by WebDriver; found are only things that can be seen, by their labels. */
export class DrivenPage {
  readonly driver: Driver;
  readonly #address: string;

  constructor(driver: Driver, address: string) {
    this.driver = driver;
    this.#address = address;
  }

  async open(path: string): Promise<void> {
    await this.driver.navigate(new URL(path, this.#address).href);
    await this.run(watchFaults);
  }

  async reload(): Promise<void> {
    await this.driver.reload();
    await this.run(watchFaults);
  }

  /** Runs a function in the page and waits for what it returns; it knows nothing but its arguments. */
  async run<Args extends unknown[], Result>(
    work: (...args: Args) => Result | Promise<Result>,
    ...args: Args
  ): Promise<Result> {
    return (await this.driver.execute(`return (${work}).apply(null, arguments);`, args)) as Result;
  }

  /** What went wrong in the page since it was opened. */
  problems(): Promise<string[]> {
    return this.run(() => (window as unknown as { faults: string[] }).faults);
  }

  /** The first thing of a kind with this name, as soon as it can be seen. */
  async find(kind: Kind, name: Name, inside?: ElementRef): Promise<ElementRef> {
    const [text, flags] = name instanceof RegExp ? [name.source, name.flags] : [name, null];
    const found = () => this.run(seek, kind, text, flags, inside ?? null) as Promise<ElementRef | null>;
    return this.until(found, `${kind} “${text}”`);
  }

  /** Presses a button, or whatever else has this name, in the middle of the window. */
  async press(kind: Kind, name: Name, inside?: ElementRef): Promise<void> {
    // What is drawn anew between finding and pressing is found again.
    await this.until(async () => {
      const element = await this.find(kind, name, inside);
      try {
        await this.intoTheMiddle(element);
        await this.driver.click(element);
        return true;
      } catch (error) {
        if (!/stale element reference/.test(String(error))) throw error;
        return false;
      }
    }, `pressing “${name}”`);
  }

  /** Types in place of what stands in a field, and leaves it by Enter. */
  async type(field: ElementRef, text: string): Promise<void> {
    await this.intoTheMiddle(field);
    await this.run((found) => {
      const input = found as unknown as HTMLInputElement;
      input.focus();
      input.select();
    }, field);
    await this.keys([...text, keys.enter]);
  }

  /** Everything that can be read in an element, or on the page. */
  text(inside?: ElementRef): Promise<string> {
    return this.run(textIn, inside ?? null);
  }

  async intoTheMiddle(element: ElementRef): Promise<void> {
    await this.run(async (found) => {
      const target = found as unknown as Element;
      target.scrollIntoView({ block: "center", behavior: "instant" });
      // Until it stands still.
      for (let before = Number.NaN, still = 0; still < 3; ) {
        await new Promise(requestAnimationFrame);
        const { top } = target.getBoundingClientRect();
        still = top === before ? still + 1 : 0;
        before = top;
      }
    }, element);
  }

  /**
   * Drags along an element, from one share of its width to others in turn, at the pace of a hand.
   *
   * @param shares 0…1; of a slider the knob moves there
   */
  async drag(element: ElementRef, shares: readonly number[], pointerType: "mouse" | "touch" = "mouse") {
    await this.intoTheMiddle(element);
    const { left, top, width, height } = await this.run(
      (found) => (found as unknown as Element).getBoundingClientRect().toJSON(),
      element,
    );
    const to = (share: number, duration: number) => ({
      ...{ type: "pointerMove", duration, origin: "viewport" },
      x: Math.round(left + width * share),
      y: Math.round(top + height / 2),
    });
    const source: InputSource = {
      ...{ type: "pointer", id: pointerType, parameters: { pointerType } },
      actions: [
        to(shares[0], 0),
        { type: "pointerDown", button: 0 },
        ...shares.slice(1).map((share) => to(share, 16)),
        { type: "pointerUp", button: 0 },
      ],
    };
    await this.driver.perform([source]);
  }

  /** Presses keys, one after the other. */
  async keys(pressed: readonly string[]): Promise<void> {
    const actions = pressed.flatMap((value) => [
      { type: "keyDown", value },
      { type: "keyUp", value },
    ]);
    await this.driver.perform([{ type: "key", id: "keys", actions }]);
  }

  /** Waits for something that is there, or for a condition that holds. */
  async until<T>(found: () => Promise<T | null | false | undefined>, what: string): Promise<T> {
    const end = Date.now() + waitMs;
    for (;;) {
      const value = await found();
      if (value) return value;
      if (Date.now() > end) {
        throw new Error(
          `${what}: not there after ${waitMs / 1000} s. On the page:\n${(await this.text()).slice(0, 3000)}`,
        );
      }
      await delay(50);
    }
  }

  /** Waits until the text of an element fits. */
  async says(pattern: RegExp, inside?: ElementRef): Promise<string> {
    return this.until(async () => {
      const text = await this.text(inside);
      return pattern.test(text) && text;
    }, `${pattern}`);
  }
}
