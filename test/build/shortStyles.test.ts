import { expect, test } from "vitest";
import { shortened } from "../../src/build/shortStyles.ts";
import { sources, textOf } from "../imports.ts";

test("comments and indentation of styles go, and nothing else of the program", () => {
  const program = [
    "/* a reader's comment */",
    "const styles = css`",
    "  /* why",
    "     so */",
    "  .a > .b,",
    "  .c {",
    "    margin: 0 auto; /* here too */",
    "  }",
    "`;",
    "const words = html`",
    "  <p>a  b</p>`;",
  ].join("\n");
  expect(shortened(program)).toBe(
    "/* a reader's comment */\nconst styles = css`\n.a > .b,\n.c {\nmargin: 0 auto; \n}\n`;\nconst words = html`\n  <p>a  b</p>`;",
  );
});

// identity: the same words in the same order, comments aside
test.each(
  sources("src/shell")
    .concat(sources("src/controls"))
    .filter((file) => textOf(file).includes("css`")),
)("%s keeps every rule", (file) => {
  const words = (text: string) => text.replace(/\/\*[\s\S]*?\*\//g, " ").split(/\s+/);
  expect(words(shortened(textOf(file)))).toEqual(words(textOf(file)));
});
