import { chartStyleHash } from "../charts/plotStyle.ts";
import { blockBegins, savedPageIds } from "../document/savedPage.ts";
import { escaped } from "../paper/paper.ts";
import { programIds } from "./programIds.ts";
import type { Program } from "./script.ts";

/** What a page is put together from. */
interface PageParts {
  readonly title: string;
  readonly styles: string;
  /** What stands there where scripts do not run; its maker has escaped every text in it. */
  readonly still: string;
  /** Text of the notebook. */
  readonly notebook: string;
  /** What the program is told beside the notebook; plain data. */
  readonly told: unknown;
  readonly program: Program;
}

/**
 * One file that holds everything. It may run its own program, known by its hash, and load nothing: no text of a notebook can
 * run, whatever it says.
 */
export async function pageText(page: PageParts): Promise<string> {
  const policy = [
    "default-src 'none'",
    `script-src '${await hashOf(page.program.first)}' '${await hashOf(page.program.later)}'`,
    `style-src '${await hashOf(page.styles)}' '${chartStyleHash}'`,
    "img-src data: blob:",
    "worker-src blob:",
    "base-uri 'none'",
    "form-action 'none'",
  ].join("; ");
  const first = `<script id="${programIds.first}">${page.program.first}</script>`;
  const later = `<script type="text/plain" id="${programIds.later}">${page.program.later}</script>`;
  return `<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<title>${escaped(page.title)}</title>
<style>${page.styles}</style>
</head>
<body>
${page.still}
${block(savedPageIds.notebook, page.notebook)}
${block(savedPageIds.handout, JSON.stringify(page.told))}
${page.program.isAlone ? [first, later].join("\n") : [later, first].join("\n")}
</body>
</html>
`;
}

/** A block of data: no element can begin or end in it. */
function block(id: string, json: string): string {
  return `${blockBegins(id)}${json.replaceAll("<", "\\u003c")}</script>`;
}

/** The hash of a text as content policies tell it. */
async function hashOf(text: string): Promise<string> {
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return `sha256-${btoa(String.fromCharCode(...new Uint8Array(digest)))}`;
}
