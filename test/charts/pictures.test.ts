import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { sources, textOf } from "../imports.ts";

// identity: whoever draws a chart is listed by the pictures kept of it
test("a picture of every chart is kept, and a test looks at it", () => {
  const drawing = [...sources("src/charts"), ...sources("cells")].flatMap((path) => {
    const [, name] = /(?:src\/charts|\/view)\/(\w+(?:Chart|Picture))\.ts$/.exec(path) ?? [];
    return name && new RegExp(`export function ${name}\\(`).test(textOf(path)) ? [name] : [];
  });
  expect(drawing.length).toBeGreaterThan(15);
  const kept = readdirSync("test/pictures");
  const tests = ["test/charts", "test/cells"].flatMap((folder) =>
    readdirSync(folder)
      .filter((file) => file.endsWith(".test.ts"))
      .map((file) => readFileSync(`${folder}/${file}`, "utf8")),
  );
  const without = drawing.filter(
    (name) =>
      !kept.some((file) => file.startsWith(`${name}.`) || file.startsWith(`${name}-`)) ||
      !tests.some((text) => new RegExp(`expect(Chart|Picture)\\(\\s*["\`]${name}\\b`).test(text)),
  );
  expect(without).toEqual([]);
});
