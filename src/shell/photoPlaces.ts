import type { HandedPicture } from "../controls/pictureDecode.ts";
import type { PhotographNews, PhotoPlaces } from "../document/served.ts";
import { messageOf } from "../graph/messageOf.ts";
import type { CellFrame } from "./cellFrame.ts";
import { clientName } from "./service.ts";
import { listenToServer } from "./serviceEvents.ts";
import { shopService } from "./shopService.ts";

const lookMs = 1000;
/** Said again so often although nothing has changed: the server forgets windows that are gone. */
const againMs = 5000;

/** Photo cells of a page that are open, the one nearest to the middle of the window first. */
function openFrames(): CellFrame[] {
  const frames =
    document.querySelector("bole-workbench")?.shadowRoot?.querySelectorAll<CellFrame>("bole-cell") ?? [];
  const away = (frame: CellFrame) => {
    const { top, bottom } = frame.getBoundingClientRect();
    return Math.max(0, top - innerHeight / 2, innerHeight / 2 - bottom);
  };
  return [...frames].filter((frame) => viewIn(frame) !== undefined).sort((a, b) => away(a) - away(b));
}

/** A folded or covered cell has no view on the page. */
function viewIn(frame: CellFrame): Element | undefined {
  return frame.folded ? undefined : (frame.shadowRoot?.querySelector("bole-view-photo") ?? undefined);
}

function placesNow(): PhotoPlaces {
  const notebook = new URLSearchParams(location.search).get("notebook") ?? "";
  return { notebook, cells: openFrames().map(({ cell: { id, title } }) => ({ id, title })) };
}

/** Lets devices send their photographs straight into the photo cells that are open in this window of the computer. */
export function takePhotographs(): void {
  let said = JSON.stringify({ notebook: "", cells: [] });
  let when = performance.now();
  const announce = () => {
    const places = placesNow();
    const text = JSON.stringify(places);
    const isOld = places.cells.length > 0 && performance.now() - when > againMs;
    if (places.cells.length === 0 && JSON.parse(said).cells.length === 0) return;
    if (text === said && !isOld) return;
    said = text;
    when = performance.now();
    // What is not heard now is said again.
    shopService.announce(places).catch(() => (said = JSON.stringify({ notebook: "", cells: [] })));
  };
  setInterval(announce, lookMs);
  document.addEventListener("visibilitychange", announce);
  listenToServer((news) => {
    if (news.kind === "photograph" && news.change.client === clientName) void take(news.change);
  });
}

async function take({ id, cell }: PhotographNews): Promise<void> {
  try {
    const view = openFrames()
      .filter((frame) => frame.cell.id === cell)
      .map(viewIn)[0];
    if (!view) throw new Error("The cell is not open on the computer any more.");
    const picture = await shopService.picture(id);
    const trouble = await new Promise<string | undefined>((done) => {
      view.dispatchEvent(new CustomEvent<HandedPicture>("bole-picture", { detail: { picture, done } }));
    });
    await shopService.taken(id, trouble);
  } catch (error) {
    await shopService.taken(id, messageOf(error)).catch(() => undefined); // the device is told by the server
  }
}
