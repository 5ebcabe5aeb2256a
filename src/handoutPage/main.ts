import { growingRegistry } from "../../cells/registry.ts";
import { offerPieces } from "../controls/cellView.ts";
import { showOnly } from "../controls/pieces.ts";
import { checkNotebook } from "../document/notebook.ts";
import { savedPageIds } from "../document/savedPage.ts";
import { loadAfter } from "../graph/loadedLater.ts";
import { beginsWith, type Told } from "../handout/begins.ts";
import { stillId } from "../handout/stillPage.ts";
import { bareView } from "./bareView.ts";
import { HandedStore } from "./handedStore.ts";
import type { HandoutPage } from "./handoutPage.ts";
import "./handoutPage.ts";
import { runHere } from "./longWork.ts";

const dataOf = (id: string): unknown => JSON.parse(document.getElementById(id)?.textContent ?? "null");

/** After what is on the page has been painted; a page that nobody looks at is never painted. */
const painted = () =>
  new Promise<void>((resolve) => {
    requestAnimationFrame(() => setTimeout(resolve));
    setTimeout(resolve, 300);
  });

/** When the whole file has been read. */
const read = async () => {
  if (document.readyState === "loading")
    await new Promise((resolve) => document.addEventListener("DOMContentLoaded", resolve));
};

/** Puts the living cells in the place of what stands there: the first by itself, so that it is there soon. */
async function live(): Promise<void> {
  const notebook = checkNotebook(dataOf(savedPageIds.notebook));
  const told = dataOf(savedPageIds.handout) as Told;
  const living = notebook.cells.filter(({ id }) => !Object.hasOwn(told.frozen, id));
  const { cells, firstKinds } = beginsWith(notebook, told);
  const kinds = growingRegistry();
  await kinds.need(firstKinds);
  const store = new HandedStore(kinds.registry, { ...notebook, cells }, runHere, told);
  offerPieces({
    dressPieces: (root) => bareView(root as ShadowRoot, store),
    showOnly: (root, only, height) => {
      bareView(root, store);
      return showOnly(root, only, height);
    },
    pieceOf: () => undefined,
  });
  const page: HandoutPage = document.createElement("bole-handout");
  Object.assign(page, { store, told, notebook });
  // Both stand there until the first living cell is whole, so that the page is never empty.
  page.hidden = true;
  const first = new Promise((resolve) => page.addEventListener("bole-first", resolve));
  const start = first.then(painted).then(read);
  loadAfter(start);
  document.body.prepend(page);
  await first;
  page.hidden = false;
  document.getElementById(stillId)?.remove();
  performance.mark("bole-first-cell");
  await start;
  await kinds.need(new Set(living.map(({ kind }) => kind)));
  store.complete({ ...notebook, cells: living });
  page.isWhole = true;
  await import("./side.ts");
}

void live();
