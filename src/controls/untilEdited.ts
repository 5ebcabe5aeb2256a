import type { ReactiveController, ReactiveControllerHost } from "lit";

/** The nodes that an element stands in, through the edges of shadow trees, with the element itself. */
function* around(element: Node): Generator<Node> {
  for (let node: Node | null = element; node; node = node instanceof ShadowRoot ? node.host : node.parentNode)
    yield node;
}

/**
 * Takes words about something that was refused away as soon as the cell around is edited: they spoke of what was tried
 * before, not of what stands there now.
 */
export class UntilEdited implements ReactiveController {
  readonly #host: ReactiveControllerHost & HTMLElement;
  readonly #forget: () => void;

  /** @param forget takes the words away */
  constructor(host: ReactiveControllerHost & HTMLElement, forget: () => void) {
    this.#host = host;
    this.#forget = forget;
    host.addController(this);
  }

  hostConnected(): void {
    document.addEventListener("bole-set", this.#edited, true);
  }

  hostDisconnected(): void {
    document.removeEventListener("bole-set", this.#edited, true);
  }

  readonly #edited = (event: Event): void => {
    const [asking] = event.composedPath();
    if ([...around(this.#host)].includes(asking as Node)) this.#forget();
  };
}
