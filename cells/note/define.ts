import { defineCell } from "../../src/ports/defineCell.ts";

export const note = defineCell({
  kind: "note",
  label: "Note",
  about: "Your own words between the cells. Markdown is understood.",
  inputs: {},
  parameters: {
    text: { type: "text", label: "Text", initial: "", maxLength: 50_000, long: true },
  },
  compute: (_, { text }) => ({ text }),
  verdict: ({ text }) => {
    const [first = ""] = text
      .split(/\n+/)
      .map((line) => line.replace(/^[\s>*-]+|[*_`]|\[([^\]]*)\]\([^)]*\)/g, "$1").trim())
      .filter((line) => line !== "" && !line.startsWith("#"));
    return { text: first || "Empty." };
  },
  summarise: ({ text }) => ({ characters: text.length }),
});

export default note;
