/** Runs tasks one after another, so that a check and the write that follows it are never parted. */
export function createQueue(): <T>(task: () => Promise<T>) => Promise<T> {
  let last: Promise<unknown> = Promise.resolve();
  return (task) => {
    const result = last.then(task, task);
    last = result.catch(() => undefined);
    return result;
  };
}
