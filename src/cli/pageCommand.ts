import { readFile } from "node:fs/promises";
import type { NotebookDocument } from "../document/notebook.ts";
import type { Registry } from "../graph/defineCell.ts";
import { messageOf } from "../graph/messageOf.ts";
import type { HandoutChoice, Moves } from "../handout/choice.ts";
import type { HandoutTemplate } from "../handout/template.ts";
import { plural } from "../words/plural.ts";
import { readOptions } from "./options.ts";
import { readNotebook } from "./readNotebook.ts";
import { type Command, exitCode, InputError, type Surroundings } from "./surroundings.ts";
import { writeText } from "./writeText.ts";

const help = `Saves a notebook as one HTML file that holds all it needs to live: cells compute, sliders move, charts draw and
lessons ask, from a disk, with no server and no network. The workbench opens it again as a notebook.

  npm run -s bole -- page FILE --out page.html [options]

  FILE              a notebook
  --out FILE        where to write the page; without it the page goes to standard output
  --show IDS        only these cells are seen, such as welcome,target,cover; others work behind where they are needed
  --leave-out IDS   nothing of these cells is in the file; what takes from them stays as it is now, and says so
  --move WHAT       what a reader may move: numbers (default), nothing, or a list such as ground.ratio,plan.coats;
                    a cell without a setting (red) gives all of it; questions can always be answered
  --no-costs        without quotes, prices and costs

Exit code 0 when the page was written, 2 when a file or an option cannot be used.`;

/** bole page: a notebook as a page that lives on its own. */
export const pageCommand: Command = {
  name: "page",
  summary: "save a notebook as one living page, with no server",
  help,
  async run(argv, surroundings) {
    const { positionals, values } = readOptions(argv, {
      out: { type: "string" },
      show: { type: "string" },
      "leave-out": { type: "string" },
      move: { type: "string" },
      "no-costs": { type: "boolean" },
    });
    if (positionals.length !== 1) throw new InputError("Give one notebook file.");
    const [path] = positionals;
    const text = await readNotebook(surroundings, path);
    // Loaded only here: the other commands need no cells.
    const { registry } = await import("../../cells/allKinds.ts");
    const { parseNotebook } = await import("../document/notebook.ts");
    const { makeHandout } = await import("../handout/handout.ts");
    const { apartIn } = await import("./apartInThreads.ts");
    const { runDirect } = await import("../workers/direct.ts");
    let document: NotebookDocument;
    try {
      document = parseNotebook(text);
    } catch (error) {
      throw new InputError(`${path}: ${messageOf(error)}`);
    }
    const choice = await choiceOf(document, registry, {
      show: values.show,
      leaveOut: values["leave-out"],
      move: values.move,
      costs: !values["no-costs"],
    });
    const template = await templateOf(surroundings);
    const moment = new Date().toLocaleDateString("en-GB", { dateStyle: "long" });
    const apart = apartIn(surroundings);
    const made = await makeHandout({ document, registry, template, choice, run: runDirect, apart, moment });
    if (values.out === undefined) surroundings.print(made.page);
    else {
      await writeText(surroundings, values.out, made.page);
      const size = (Buffer.byteLength(made.page) / 1e6).toFixed(2);
      const frozen = made.frozen.length > 0 ? `, ${plural(made.frozen.length, "cell")} frozen` : "";
      surroundings.complain(`${values.out}: ${size} MB${frozen}.`);
    }
    return exitCode.ok;
  },
};

interface Asked {
  readonly show?: string;
  readonly leaveOut?: string;
  readonly move?: string;
  readonly costs: boolean;
}

async function choiceOf(
  document: NotebookDocument,
  registry: Registry,
  asked: Asked,
): Promise<HandoutChoice> {
  const { wholeNotebook } = await import("../handout/choice.ts");
  const whole = wholeNotebook(document, registry);
  const ids = (option: string, text: string | undefined) =>
    listOf(text).map((id) => known(option, id, document));
  const shown = asked.show === undefined ? whole.shown : ids("--show", asked.show);
  const moves =
    asked.move === undefined || asked.move === "numbers"
      ? whole.moves
      : asked.move === "nothing"
        ? {}
        : movesOf(asked.move, document, registry);
  return { shown, leftOut: ids("--leave-out", asked.leaveOut), moves, costs: asked.costs };
}

const listOf = (text = "") => text.split(",").flatMap((one) => (one.trim() === "" ? [] : [one.trim()]));

function known(option: string, id: string, { cells }: NotebookDocument): string {
  if (cells.some((cell) => cell.id === id)) return id;
  throw new InputError(
    `${option} names "${id}", which is no cell. There are: ${cells.map((cell) => cell.id).join(", ")}.`,
  );
}

function movesOf(text: string, document: NotebookDocument, registry: Registry): Record<string, Moves> {
  const moves: Record<string, Moves> = {};
  for (const one of listOf(text)) {
    const [cell, name] = one.split(".", 2);
    const id = known("--move", cell, document);
    const settings = registry.get(document.cells.find((other) => other.id === id)!.kind)?.parameters ?? {};
    if (name !== undefined && !Object.hasOwn(settings, name)) {
      throw new InputError(
        `--move names "${one}", but "${id}" has no such setting. It has: ${Object.keys(settings).join(", ")}.`,
      );
    }
    const before = moves[id] ?? [];
    moves[id] = name === undefined || before === "all" ? "all" : [...before, name];
  }
  return moves;
}

/** Where the build puts it, seen from the built command line. */
const templatePlace = "../page/handout.json";

/** The built program of saved pages stands beside the page of the workbench. */
async function templateOf({ kindThread }: Surroundings): Promise<HandoutTemplate> {
  const { readTemplate } = await import("../handout/template.ts");
  if (!kindThread) throw new InputError("The program for saved pages has not been built.");
  const file = new URL(templatePlace, kindThread);
  let text: string;
  try {
    text = await readFile(file, "utf8");
  } catch {
    throw new InputError("The program for saved pages is missing. Build again with npm run build.");
  }
  return readTemplate(text);
}
