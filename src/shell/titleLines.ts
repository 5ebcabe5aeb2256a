/** Width and text for which each title was last fitted; asking how high a text stands makes the page be laid out at once. */
const fitted = new WeakMap<HTMLTextAreaElement, { width: number; text: string }>();

const takeLines = (title: HTMLTextAreaElement): void => {
  fitted.set(title, { width: title.offsetWidth, text: title.value });
  title.style.height = "auto";
  title.style.height = `${title.scrollHeight + title.offsetHeight - title.clientHeight}px`;
};

const widths = new ResizeObserver((entries) => {
  const titles = entries.map(({ target }) => target as HTMLTextAreaElement);
  const changed = titles.filter((title) => title.offsetWidth !== fitted.get(title)?.width);
  // Not at once: a size that changes while sizes are being told is reported as a fault.
  if (changed.length > 0) requestAnimationFrame(() => changed.forEach(takeLines));
});

/** Gives a title the height of its lines, now and whenever its width or what is typed changes. */
export function fitTitle(title: HTMLTextAreaElement | null): void {
  if (!title || fitted.get(title)?.text === title.value) return;
  if (!fitted.has(title)) {
    widths.observe(title);
    title.addEventListener("input", () => takeLines(title));
  }
  takeLines(title);
}
