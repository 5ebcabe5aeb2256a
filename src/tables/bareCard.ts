/** Whether the label of a film means the uncoated card: "bare", "bare card", "Uncoated chart". */
export function isBareCard(label: string): boolean {
  return /^(?:the )?(?:bare|uncoated)(?:[ _-](?:card|chart|paper|board|panel|ground|substrate))?$/i.test(
    label.trim().slice(0, 60),
  );
}
