/** Whether a notebook has so few cells that all of it is made and shown at once. */
export const isSmall = (cells: number) => cells <= 40;
/** How far below and above the window a view is made before it comes into sight. */
const margin = "1200px 0px";
/** A view is made in idle time only when there is this much of it, ms. */
const enoughIdleMs = 6;

type Go = () => void;

/** To be called when the view of the first cell is on screen. */
export let firstViewIsShown: Go = () => {};
/** The first cell's view is fetched and shown before those of the others, so that a page shows something at once. */
export const firstView = new Promise<void>((resolve) => {
  firstViewIsShown = resolve;
  // A first view that never comes must not keep the others waiting.
  setTimeout(resolve, 3000);
});

const waiting = new Map<Element, Go>();
let sight: IntersectionObserver | undefined;
let isIdling = false;

/**
 * Call back when it is a cell's turn to make its view. In a large notebook the cells in sight come first and the others
 * follow in idle time, so that it opens at once and everything is there soon after, also for printing.
 */
export function whenItsTurn(cell: Element, cells: number, go: Go): void {
  if (isSmall(cells) || typeof requestIdleCallback === "undefined") {
    go();
    return;
  }
  if (!sight) {
    sight = new IntersectionObserver(
      (entries) => {
        for (const { target, isIntersecting } of entries) if (isIntersecting) take(target);
      },
      { rootMargin: margin },
    );
    addEventListener("beforeprint", () => {
      for (const next of [...waiting.keys()]) take(next);
    });
  }
  waiting.set(cell, go);
  sight.observe(cell);
  idle();
}

/** A cell that is gone needs no turn any more. */
export function forgetTurn(cell: Element): void {
  waiting.delete(cell);
  sight?.unobserve(cell);
}

function take(cell: Element): void {
  const go = waiting.get(cell);
  forgetTurn(cell);
  go?.();
}

function idle(): void {
  if (isIdling) return;
  isIdling = true;
  requestIdleCallback((deadline) => {
    isIdling = false;
    const [next] = waiting.keys();
    if (next && deadline.timeRemaining() >= enoughIdleMs) take(next);
    if (waiting.size > 0) idle();
  });
}
