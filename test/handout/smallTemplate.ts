import type { HandoutTemplate } from "../../src/handout/template.ts";

const part = (code: string, needs: string[] = [], later: string[] = []) => ({ code, needs, later });

/** A template with two kinds, where the second asks for long work, small enough to be read. */
export const smallTemplate: HandoutTemplate = {
  format: "bole-handout",
  styles: "main{margin:0}",
  parts: {
    "page.js": part(
      'require("./base.js")',
      ["base.js"],

      ["note-define.js", "note-view.js", "recipe-define.js", "recipe-view.js", "tasks.js", "side.js"],
    ),
    "base.js": part("exports.base=1"),
    "side.js": part('"</script><!--"'),
    "note-define.js": part("exports.note=1"),
    "note-view.js": part("exports.view=1", ["note-define.js"], ["words.js"]),
    "words.js": part("exports.words=1"),
    "recipe-define.js": part("exports.recipe=1", ["mixing.js"], ["tasks.js"]),
    "recipe-view.js": part("exports.view=2", ["recipe-define.js"]),
    "mixing.js": part("exports.mixing=1"),
    "tasks.js": part("exports.tasks=1", ["fits.js"]),
    "fits.js": part("exports.fits=1"),
    "work.js": part('require("./tasks.js")', ["tasks.js"]),
  },
  kinds: {
    note: { define: "note-define.js", view: "note-view.js", long: false },
    recipe: { define: "recipe-define.js", view: "recipe-view.js", long: true },
  },
  page: "page.js",
  worker: "work.js",
  work: ["tasks.js"],
};
