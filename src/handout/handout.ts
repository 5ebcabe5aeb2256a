import { jobUnits } from "../document/jobUnits.ts";
import { type NotebookDocument, serialiseNotebook } from "../document/notebook.ts";
import { coveredCells } from "../document/secrets.ts";
import type { Apart } from "../graph/apart.ts";
import type { Registry } from "../graph/defineCell.ts";
import { NotebookGraph } from "../graph/notebookGraph.ts";
import type { RunTask } from "../tasks/longTask.ts";
import { beginsWith, type Told } from "./begins.ts";
import { type HandoutChoice, wholeNotebook } from "./choice.ts";
import { pageText } from "./pageText.ts";
import { programOf } from "./script.ts";
import { type Selection, select } from "./selection.ts";
import { type Still, stillOf } from "./still.ts";
import { type StillCell, stillPage } from "./stillPage.ts";
import type { HandoutTemplate } from "./template.ts";
import { withoutCosts } from "./withoutCosts.ts";

interface HandoutRequest {
  readonly document: NotebookDocument;
  readonly registry: Registry;
  readonly template: HandoutTemplate;
  /** Left out: everything is shown and every number may be moved. */
  readonly choice?: HandoutChoice;
  readonly run: RunTask;
  /** Where cells without a checked bound are computed: a page has no such place, so they stay as they are. */
  readonly apart?: Apart;
  /** The moment, in words. */
  readonly moment: string;
}

/** A page that was made, and what became of its cells. */
interface Handout {
  readonly page: string;
  /** Cells in the file that are not seen: they work behind. */
  readonly behind: readonly string[];
  /** Cells that stay as they are. */
  readonly frozen: readonly string[];
}

/** Puts a notebook into one file that holds all it needs to live. */
export async function makeHandout(request: HandoutRequest): Promise<Handout> {
  const { registry, template, moment, apart } = request;
  const choice = request.choice ?? wholeNotebook(request.document, registry);
  const whole = choice.costs ? request.document : withoutCosts(request.document);
  const selection = select(whole, choice, (kind) => apart?.needs(kind) ?? false);
  const { document, frozen } = selection;
  const { stills, hasRun } = await computed(whole, request);
  const seen = document.cells.filter(({ id }) => choice.shown.includes(id));
  const labelOf = (kind: string) => registry.get(kind)?.label ?? kind;
  const covers = coversIn(whole, selection, registry);
  const stillCells = seen.map(
    ({ id, kind, title }): StillCell => ({
      title,
      label: labelOf(kind),
      still: stills.get(id)!,
      cover: covers.get(id)?.title,
      frozen: frozen.includes(id),
    }),
  );
  const kinds = [...new Set(document.cells.filter(({ id }) => !frozen.includes(id)).map(({ kind }) => kind))];
  const isAll = document.cells.some(
    ({ id, kind }) => choice.moves[id] === "all" && template.kinds[kind]?.long === true,
  );
  const withWork = isAll || (hasRun && kinds.some((kind) => template.kinds[kind]?.long));
  const saved = `A page saved from a notebook on ${moment}.`;
  const told: Told = {
    saved,
    shown: seen.map(({ id }) => id),
    moves: Object.fromEntries(
      document.cells.flatMap(({ id }) => (choice.moves[id] ? [[id, choice.moves[id]]] : [])),
    ),
    frozen: Object.fromEntries(
      document.cells
        .filter(({ id }) => frozen.includes(id))
        .map(({ id, kind }) => [
          id,
          { label: labelOf(kind), still: stills.get(id)!, cover: covers.get(id)?.id },
        ]),
    ),
  };
  const page = await pageText({
    title: document.title,
    styles: template.styles,
    still: stillPage(document.title, saved, stillCells),
    notebook: serialiseNotebook(document),
    told,
    program: programOf(template, {
      kinds,
      ...beginsWith(document, told),
      withWork,
    }),
  });
  return {
    page,
    behind: document.cells.filter(({ id }) => !choice.shown.includes(id)).map(({ id }) => id),
    frozen,
  };
}

/** What every cell says, and whether long work was asked for on the way. */
async function computed(
  document: NotebookDocument,
  { registry, run, apart }: HandoutRequest,
): Promise<{ stills: Map<string, Still>; hasRun: boolean }> {
  let hasRun = false;
  const noting: RunTask = (task, args, options) => {
    hasRun = true;
    return run(task, args, options);
  };
  const graph = new NotebookGraph(registry, noting, apart);
  try {
    graph.setCells(document.cells);
    await graph.settled();
    const units = jobUnits(document.cells);
    const still = (cell: NotebookDocument["cells"][number]) =>
      stillOf(cell, registry.get(cell.kind), graph.outcome(cell.id), units);
    return { stills: new Map(document.cells.map((cell) => [cell.id, still(cell)])), hasRun };
  } finally {
    graph.dispose();
  }
}

/** What an open question of the page covers, as the page itself will see it. */
function coversIn(whole: NotebookDocument, { document, frozen }: Selection, registry: Registry) {
  const living = document.cells.filter(({ id }) => !frozen.includes(id));
  const ids = new Set(living.map(({ id }) => id));
  const covers = new Map(coveredCells(living, registry));
  const before = coveredCells(whole.cells, registry);
  for (const id of frozen) {
    const cover = before.get(id);
    if (cover && ids.has(cover.id)) covers.set(id, cover);
  }
  return covers;
}
