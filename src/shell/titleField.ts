/** A title is one line of text, however many lines it takes on a narrow screen: Enter is the end of it. */
export function leaveOnEnter(event: KeyboardEvent): void {
  if (event.key !== "Enter") return;
  event.preventDefault();
  (event.target as HTMLElement).blur();
}

/** What was typed, as one line; the field shows it so. */
export function oneLine({ target }: Event): string {
  const field = target as HTMLTextAreaElement;
  field.value = field.value.replace(/\s+/g, " ").trim();
  return field.value;
}
