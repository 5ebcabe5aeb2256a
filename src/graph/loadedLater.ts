/**
 * A function whose code is loaded when it is first called, so that the page starts without it. The first call answers
 * later; every further call answers just as the function itself does.
 */
export function loadedLater<Code extends (...args: never[]) => unknown>(
  load: () => Promise<Code>,
): (...args: Parameters<Code>) => Awaited<ReturnType<Code>> | Promise<Awaited<ReturnType<Code>>> {
  type Answer = Awaited<ReturnType<Code>> | Promise<Awaited<ReturnType<Code>>>;
  let code: Code | undefined;
  return (...args) => {
    if (code) return code(...args) as Answer;
    return load().then((loaded) => {
      code = loaded;
      return loaded(...args) as Answer;
    });
  };
}
