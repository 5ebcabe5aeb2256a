let start: Promise<void> | undefined;

/** Code that is loaded later waits for this, so that what a person sees first comes first. */
export function loadAfter(first: Promise<void>): void {
  start = first;
}

/**
 * A function whose code is loaded when it is first called, so that the page starts without it. The first call answers
 * later; every further call answers just as the function itself does.
 */
export function loadedLater<Code extends (...args: never[]) => unknown>(
  load: () => Promise<Code>,
): (...args: Parameters<Code>) => Awaited<ReturnType<Code>> | Promise<Awaited<ReturnType<Code>>> {
  type Answer = Awaited<ReturnType<Code>> | Promise<Awaited<ReturnType<Code>>>;
  let code: Code | undefined;
  const loaded = async (args: Parameters<Code>): Promise<Awaited<ReturnType<Code>>> => {
    await start;
    code = await load();
    return (await code(...args)) as Awaited<ReturnType<Code>>;
  };
  return (...args) => (code ? (code(...args) as Answer) : loaded(args));
}
