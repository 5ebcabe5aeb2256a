/**
 * Does steps one after another; where one fails, those before it are undone, last first, as far as that can be done.
 *
 * @param steps each with how it is undone
 */
export async function inSteps(
  steps: readonly (readonly [run: () => Promise<unknown>, undo?: () => Promise<unknown>])[],
): Promise<void> {
  const undo: (() => Promise<unknown>)[] = [];
  for (const [run, back] of steps) {
    try {
      await run();
    } catch (error) {
      for (const each of undo.reverse()) await each().catch(() => undefined); // looked at afterwards
      throw error;
    }
    if (back) undo.push(back);
  }
}
