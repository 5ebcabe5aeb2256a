/** A title is one line of text, however many lines it takes on a narrow screen: Enter is the end of it. */
export function leaveOnEnter(event: KeyboardEvent): void {
  if (event.key !== "Enter") return;
  event.preventDefault();
  (event.target as HTMLElement).blur();
}

const takesLines = CSS.supports("field-sizing", "content");

/** Titles in a root take the lines that they need, in browsers too that do not size a field by what is in it. */
export async function fitTitles(root: ParentNode): Promise<void> {
  if (!takesLines) (await import("./titleLines.ts")).fitTitle(root.querySelector("textarea.title"));
}

/** What was typed, as one line; the field shows it so. */
export function oneLine({ target }: Event): string {
  const field = target as HTMLTextAreaElement;
  field.value = field.value.replace(/\s+/g, " ").trim();
  return field.value;
}
