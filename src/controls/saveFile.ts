/** Hand a text to the person as a file of that name. */
export function saveText(name: string, text: string, type = "text/plain"): void {
  saveBlob(name, new Blob([text], { type }));
}

/** Hand any content to the person as a file of that name. */
export function saveBlob(name: string, blob: Blob): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // The browser has its own hold on the content by then.
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
