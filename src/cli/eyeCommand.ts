import { messageOf } from "../graph/messageOf.ts";
import { readOptions } from "./options.ts";
import { type Command, exitCode, InputError, printJson, readText } from "./surroundings.ts";

const help = `Tells where a reference lies from panels judged by eye, and what to pour next.

  npm run -s bole -- eye FILE [--panels PANELS.csv] [--csv] [--cell ID]

  FILE             a notebook with a cell By eye
  --panels FILE    panels and words to take in the place of those of the notebook; a table as --csv writes it
  --csv            print panels and words as a table, in the place of the result as JSON
  --cell ID        which cell, when the notebook has several

Exit code 0 when the cell is ok, 1 when it is in error or blocked, 2 when a file or an option cannot be used.`;

/** bole eye: judged panels in and out as a table, and what they say. */
export const eyeCommand: Command = {
  name: "eye",
  summary: "tell a reference from panels judged by eye; panels and words as CSV",
  help,
  async run(argv, surroundings) {
    const { positionals, values } = readOptions(argv, {
      panels: { type: "string" },
      csv: { type: "boolean" },
      cell: { type: "string" },
    });
    if (positionals.length !== 1) throw new InputError("Give one notebook file.");
    const [path] = positionals;
    const text = await readText(surroundings, path);
    const table = values.panels === undefined ? undefined : await readText(surroundings, values.panels);
    // Loaded only here: the other commands need no cells.
    const { runDocument } = await import("./runNotebook.ts");
    const { parseNotebook } = await import("../document/notebook.ts");
    const { setParameters } = await import("../document/operations.ts");
    const { readPanels, writePanels } = await import("../ports/eyePanelTable.ts");
    const named = <Value>(file: string, read: () => Value): Value => {
      try {
        return read();
      } catch (error) {
        throw new InputError(`${file}: ${messageOf(error)}`);
      }
    };
    const document = named(path, () => parseNotebook(text));
    const eyes = document.cells.filter(({ kind }) => kind === "by-eye");
    const cell = values.cell === undefined ? eyes[0] : eyes.find(({ id }) => id === values.cell);
    if (!cell) {
      const ids = eyes.map(({ id }) => id).join(", ");
      throw new InputError(
        `${path}: the notebook has no cell By eye${values.cell === undefined ? "" : ` "${values.cell}"`}${ids === "" ? "" : `. It has: ${ids}`}.`,
      );
    }
    const given = table === undefined ? undefined : named(values.panels!, () => readPanels(table));
    const changed = given ? setParameters(document, cell.id, { ...given }) : document;
    const outcome = (await runDocument(changed)).cells.find(({ id }) => id === cell.id)!;
    if (values.csv) {
      const kept = changed.cells.find(({ id }) => id === cell.id)!.parameters as Partial<
        ReturnType<typeof readPanels>
      >;
      // Words are known of the panels that count, which come in the order of the table.
      const said = (outcome.result as { panels?: { words: string[] }[] } | undefined)?.panels ?? [];
      let next = 0;
      surroundings.print(
        writePanels(kept.panels ?? [], kept.pairs ?? [], ({ steps }) =>
          steps.includes(null) ? "" : (said[next++]?.words.join(", ") ?? ""),
        ).trimEnd(),
      );
    } else printJson(surroundings, outcome);
    return outcome.status === "ok" ? exitCode.ok : exitCode.failed;
  },
};
