import { growingRegistry } from "../../cells/registry.ts";
import { offerPieces } from "../controls/cellView.ts";
import { showOnly } from "../controls/pieces.ts";
import { checkNotebook } from "../document/notebook.ts";
import { savedPageIds } from "../document/savedPage.ts";
import type { Told } from "../handout/handout.ts";
import { stillId } from "../handout/stillPage.ts";
import { bareView } from "./bareView.ts";
import { HandedStore } from "./handedStore.ts";
import type { HandoutPage } from "./handoutPage.ts";
import "./handoutPage.ts";
import { runHere } from "./longWork.ts";

const dataOf = (id: string): unknown => JSON.parse(document.getElementById(id)?.textContent ?? "null");

/** Puts the living cells in the place of what stands there. */
async function live(): Promise<void> {
  const whole = checkNotebook(dataOf(savedPageIds.notebook));
  const told = dataOf(savedPageIds.handout) as Told;
  const cells = whole.cells.filter(({ id }) => !Object.hasOwn(told.frozen, id));
  const kinds = growingRegistry();
  await kinds.need(new Set(cells.map(({ kind }) => kind)));
  const store = new HandedStore(kinds.registry, { ...whole, cells }, runHere, told);
  offerPieces({
    dressPieces: (root) => bareView(root as ShadowRoot, store),
    showOnly: (root, only, height) => {
      bareView(root, store);
      return showOnly(root, only, height);
    },
    pieceOf: () => undefined,
  });
  const page: HandoutPage = Object.assign(document.createElement("bole-handout") as HandoutPage, {
    store,
    told,
    whole,
  });
  const still = document.getElementById(stillId);
  // Both stand there until the first living cell is whole, so that the page is never empty.
  page.hidden = true;
  page.addEventListener("bole-first", () => {
    page.hidden = false;
    still?.remove();
    performance.mark("bole-first-cell");
    void import("./side.ts");
  });
  document.body.prepend(page);
}

void live();
