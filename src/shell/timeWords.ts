/** Whether a moment is of today. */
export function isToday(moment: Date): boolean {
  return moment.toDateString() === new Date().toDateString();
}

/** A time as people say it, in the language of the browser. */
export function timeWords(iso: string): string {
  const moment = new Date(iso);
  return isToday(moment)
    ? `today ${moment.toLocaleTimeString()}`
    : moment.toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
}
