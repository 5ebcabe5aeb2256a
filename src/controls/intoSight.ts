/** What the keyboard has come to is brought in sight whole: some browsers are content with a strip of it. */
export function intoSight({ currentTarget }: Event): void {
  const reached = currentTarget as HTMLElement;
  if (reached.matches(":focus-visible")) reached.scrollIntoView({ block: "nearest" });
}
