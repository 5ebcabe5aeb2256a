import { programIds } from "./programIds.ts";
import { type HandoutTemplate, partsFor } from "./template.ts";

/** What a page needs of the program. */
interface Wanted {
  /** Kinds of the living cells. */
  readonly kinds: readonly string[];
  /** Kinds that are needed before the first cell stands there. */
  readonly firstKinds: readonly string[];
  /** Kind of the first cell, whose view comes first. */
  readonly firstView: string | undefined;
  /** Whether the first cell needs nothing of the rest, so that it can live before that has been read. */
  readonly isAlone: boolean;
  readonly withWork: boolean;
}

/** The program of a page, as two classic scripts. Nothing in them depends on what a person has written. */
export interface Program {
  /** Runs at once. */
  readonly first: string;
  /** Stands there as text, and runs when a part of it is first asked for: the first cell does not wait for it. */
  readonly later: string;
  readonly isAlone: boolean;
}

/**
 * The program of a page, which runs in the page and in its worker: each part is a function that is called when it is first
 * asked for.
 */
export function programOf(template: HandoutTemplate, wanted: Wanted): Program {
  const all = partsFor(template, wanted.kinds, wanted.withWork);
  const first = firstParts(template, wanted);
  const begin = `if(typeof document!=="undefined")need(${JSON.stringify(template.page)});`;
  return {
    isAlone: wanted.isAlone,
    first: `"use strict";(function(){const parts={${textOf(template, [...first])}};const made={};let has=false;
function add(more){Object.assign(parts,more)}
function fetchLater(){if(has||typeof document==="undefined")return;const later=document.getElementById(${JSON.stringify(programIds.later)});
if(!later)return;has=true;const script=document.createElement("script");script.textContent=later.textContent;document.head.append(script)}
function need(path){const name=path.slice(path.lastIndexOf("/")+1);if(!Object.hasOwn(made,name)){
if(!Object.hasOwn(parts,name))fetchLater();if(!Object.hasOwn(parts,name))throw new Error("This page does not hold "+name);
const module=made[name]={exports:{}};parts[name](need,module,module.exports)}return made[name].exports}
globalThis.boleProgram={add,begin:()=>need(${JSON.stringify(template.worker)})};${begin}})();`,
    later: `"use strict";boleProgram.add({${textOf(
      template,
      all.filter((name) => !first.has(name)),
    )}});`,
  };
}

/** The page itself, the kinds of its first cell, and the view of that with all that only this view asks for later. */
function firstParts(template: HandoutTemplate, { firstKinds, firstView }: Wanted): Set<string> {
  const { parts, kinds, page } = template;
  const found = new Set([page]);
  const withNeeds = () => {
    // A set goes on to what is added while it is gone through.
    for (const name of found) for (const next of parts[name].needs) found.add(next);
  };
  withNeeds();
  const late = new Set([...found].flatMap((name) => parts[name].later));
  for (const kind of firstKinds) if (Object.hasOwn(kinds, kind)) found.add(kinds[kind].define);
  if (firstView !== undefined && Object.hasOwn(kinds, firstView)) {
    const { view } = kinds[firstView];
    for (const name of [view, ...parts[view].later]) if (name === view || !late.has(name)) found.add(name);
  }
  withNeeds();
  return found;
}

function textOf({ parts }: HandoutTemplate, names: readonly string[]): string {
  return names
    .map(
      (name) => `${JSON.stringify(name)}:function(require,module,exports){${inScript(parts[name].code)}\n}`,
    )
    .join(",\n");
}

/** Code that may stand in a script element: what would end it, or begin a comment of HTML, is spelled otherwise. */
function inScript(code: string): string {
  return code.replace(/<(?=\/script|!--)/gi, "\\x3c");
}
