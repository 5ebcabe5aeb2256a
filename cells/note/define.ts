import { defineCell } from "../../src/graph/defineCell.ts";

export const note = defineCell<Record<never, never>>()({
  kind: "note",
  label: "Note",
  about: "Your own words between the cells. Markdown is understood.",
  inputs: {},
  output: "note",
  parameters: {
    text: { type: "text", label: "Text", initial: "", maxLength: 50_000, long: true },
  },
  compute: (_, { text }) => ({ text }),
  summarise: ({ text }) => ({ characters: text.length }),
});
