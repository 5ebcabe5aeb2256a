import { type HandoutTemplate, partsFor } from "./template.ts";

/** Id of the element that holds the program: the page makes its worker from the same text. */
export const programId = "bole-program";

/**
 * The whole program of a page as one classic script, which runs in the page and in its worker: each part is a function that
 * is called when it is first asked for. Nothing in it depends on what a person has written.
 */
export function programOf(template: HandoutTemplate, kinds: readonly string[], withWork: boolean): string {
  const parts = partsFor(template, kinds, withWork).map(
    (name) =>
      `${JSON.stringify(name)}:function(require,module,exports){${inScript(template.parts[name].code)}\n}`,
  );
  const begins = `typeof document==="undefined"?${JSON.stringify(template.worker)}:${JSON.stringify(template.page)}`;
  return `"use strict";(function(){const parts={${parts.join(",\n")}};const made={};
function need(path){const name=path.slice(path.lastIndexOf("/")+1);if(!Object.hasOwn(made,name)){
if(!Object.hasOwn(parts,name))throw new Error("This page does not hold "+name);
const module=made[name]={exports:{}};parts[name](need,module,module.exports)}return made[name].exports}
need(${begins})})();`;
}

/** Code that may stand in a script element: what would end it, or begin a comment of HTML, is spelled otherwise. */
function inScript(code: string): string {
  return code.replace(/<(?=\/script|!--)/gi, "\\x3c");
}
