/** Everything the keys do, for the sheet: those of the workbench and those of its controls. */
export const keySheet: readonly {
  readonly where: string;
  readonly keys: readonly (readonly [string, string])[];
}[] = [
  {
    where: "Anywhere",
    keys: [
      ["F1", "this sheet"],
      ["Tab, Shift + Tab", "to the next control, to the one before"],
      ["Alt + ↓, Alt + ↑", "to the next cell, to the one before"],
      ["Alt + Shift + ↓, ↑", "move the cell down, up"],
      ["Alt + I", "keep in sight what has the focus, or let it go"],
      ["Ctrl or ⌘ + Z", "undo"],
      ["Ctrl or ⌘ + Shift + Z", "do again"],
      ["Ctrl or ⌘ + P", "print"],
    ],
  },
  {
    where: "On a slider, or on a chart that sets a value",
    keys: [
      ["← →", "one step"],
      ["Page Up, Page Down", "a large step"],
      ["Home, End", "to the ends"],
    ],
  },
  {
    where: "In a number box",
    keys: [
      ["↑ ↓", "one step"],
      ["Enter", "take what was typed"],
      ["Escape", "go back to the value before"],
    ],
  },
  {
    where: "On a word with a dotted line",
    keys: [
      ["Enter", "show what it means"],
      ["Escape", "close it"],
    ],
  },
];
