/** An element of the page, as WebDriver names it. Source: W3C WebDriver, 12 (elements) */
export const elementKey = "element-6066-11e4-a52e-4f735466cecf";
export type ElementRef = { [elementKey]: string };

/** A sequence of actions of one input device. Source: W3C WebDriver, 15 (actions) */
export interface InputSource {
  type: "pointer" | "key";
  id: string;
  parameters?: { pointerType: "mouse" | "touch" };
  actions: Record<string, unknown>[];
}

/** A running browser that does what it is told by WebDriver; everything ends within a bounded time. */
export interface Driver {
  /** Name and version. */
  readonly browser: string;
  navigate(url: string): Promise<void>;
  reload(): Promise<void>;
  /** Body of a function; a promise that it returns is waited for. */
  execute(body: string, args: unknown[]): Promise<unknown>;
  perform(actions: InputSource[]): Promise<void>;
  click(element: ElementRef): Promise<void>;
  sendKeys(element: ElementRef, text: string): Promise<void>;
  resize(width: number, height: number): Promise<void>;
  /** The page as PDF. */
  print(): Promise<Buffer>;
  /** The window as PNG. */
  picture(): Promise<Buffer>;
  /** Ends the browser and everything that was started for it. */
  quit(): Promise<void>;
}

export const commandLimitMs = 60_000;
export const startLimitMs = 60_000;

/** Rejects when a promise is not settled in time. */
export async function within<T>(promise: Promise<T>, what: string, limitMs = commandLimitMs): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const limit = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error(`${what}: not done within ${limitMs / 1000} s`)), limitMs);
  });
  try {
    return await Promise.race([promise, limit]);
  } finally {
    clearTimeout(timer);
  }
}
