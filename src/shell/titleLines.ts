/** Width for which each title was last fitted, px. */
const followed = new WeakMap<HTMLTextAreaElement, number>();

const takeLines = (title: HTMLTextAreaElement): void => {
  followed.set(title, title.offsetWidth);
  title.style.height = "auto";
  title.style.height = `${title.scrollHeight + title.offsetHeight - title.clientHeight}px`;
};

const widths = new ResizeObserver((entries) => {
  const titles = entries.map(({ target }) => target as HTMLTextAreaElement);
  const changed = titles.filter((title) => title.offsetWidth !== followed.get(title));
  // Not at once: a size that changes while sizes are being told is reported as a fault.
  if (changed.length > 0) requestAnimationFrame(() => changed.forEach(takeLines));
});

/** Gives a title the height of its lines, now and whenever its width or what is typed changes. */
export function fitTitle(title: HTMLTextAreaElement | null): void {
  if (!title) return;
  if (!followed.has(title)) {
    widths.observe(title);
    title.addEventListener("input", () => takeLines(title));
  }
  takeLines(title);
}
