import type { Task } from "../fit/taskTypes.ts";

/** The task of a name. @throws RangeError for an unknown name, naming the known ones */
export function taskNamed(tasks: Readonly<Record<string, Task>>, name: string): Task {
  if (!Object.hasOwn(tasks, name)) {
    throw new RangeError(`task "${name}" is unknown; known: ${Object.keys(tasks).join(", ")}`);
  }
  return tasks[name];
}
