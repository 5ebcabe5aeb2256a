import type { Apart } from "../graph/apart.ts";
import { messageOf } from "../graph/messageOf.ts";
import { readOptions } from "./options.ts";
import { readNotebook } from "./readNotebook.ts";
import { type Command, exitCode, InputError } from "./surroundings.ts";
import { type Writing, writeText } from "./writeText.ts";

const help = `Writes the job sheet of a notebook as a page of its own, to be opened and printed on A4 or US Letter.

  npm run -s bole -- sheet FILE --out sheet.html [--cell ID]

  FILE        a notebook with a job sheet
  --out FILE  where to write the page; without it the page goes to standard output
  --cell ID   which job sheet, when the notebook has several

Exit code 0 when the sheet was written, 1 when its cell is in error or blocked, 2 when a file or an option cannot be used.`;

/** bole sheet: the job sheet without a browser. */
export const sheetCommand: Command = {
  name: "sheet",
  summary: "write the job sheet of a notebook as a printable page",
  help,
  async run(argv, surroundings: Writing) {
    const { positionals, values } = readOptions(argv, {
      out: { type: "string" },
      cell: { type: "string" },
    });
    if (positionals.length !== 1) throw new InputError("Give one notebook file.");
    const [path] = positionals;
    const text = await readNotebook(surroundings, path);
    const { apartIn } = await import("./apartInThreads.ts");
    const sheet = await sheetIn(text, path, values.cell, apartIn(surroundings));
    if ("trouble" in sheet) {
      surroundings.complain(sheet.trouble);
      return exitCode.failed;
    }
    if (values.out === undefined) surroundings.print(sheet.page);
    else await writeText(surroundings, values.out, sheet.page);
    return exitCode.ok;
  },
};

async function sheetIn(
  text: string,
  path: string,
  wanted: string | undefined,
  apart: Apart | undefined,
): Promise<{ page: string } | { trouble: string }> {
  // Loaded only here: the other commands need no cells.
  const { registry } = await import("../../cells/allKinds.ts");
  const { parseNotebook } = await import("../document/notebook.ts");
  const { NotebookGraph } = await import("../graph/notebookGraph.ts");
  const { jobSheetDocument } = await import("../paper/jobSheetPage.ts");
  const { runDirect } = await import("../workers/direct.ts");
  let document: ReturnType<typeof parseNotebook>;
  try {
    document = parseNotebook(text);
  } catch (error) {
    throw new InputError(`${path}: ${messageOf(error)}`);
  }
  const sheets = document.cells.filter((cell) => cell.kind === "job-sheet");
  const cell = wanted === undefined ? sheets[0] : sheets.find(({ id }) => id === wanted);
  if (!cell) {
    const ids = sheets.map(({ id }) => id).join(", ");
    throw new InputError(
      ids === ""
        ? `${path}: the notebook has no job sheet. Add one in the workbench.`
        : `${path}: the notebook has no job sheet "${wanted}". It has: ${ids}.`,
    );
  }
  const graph = new NotebookGraph(registry, runDirect, apart);
  try {
    graph.setCells(document.cells);
    await graph.settled();
    const outcome = graph.outcome(cell.id);
    if (outcome.status !== "ok") {
      const why = "message" in outcome ? outcome.message : "it was not computed";
      return { trouble: `${path}: the job sheet "${cell.title}" cannot be made: ${why}` };
    }
    const file = path.split(/[\\/]/).pop() ?? path;
    const sheet = outcome.value as Parameters<typeof jobSheetDocument>[0];
    return { page: jobSheetDocument(sheet, { text: file, href: file, title: document.title }) };
  } finally {
    graph.dispose();
  }
}
