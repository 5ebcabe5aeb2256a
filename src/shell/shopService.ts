import type { PhotoPlaces, ShopState } from "../document/served.ts";
import { callServer as call } from "./service.ts";

/** What the server says of the shop network: to the computer all of it, to a device its own name. */
export interface ShopAnswer {
  readonly shop?: ShopState;
  readonly device?: { readonly name: string };
}

/** What pages ask of the shop network. */
export const shopService = {
  state: () => call<ShopAnswer>("GET", "shop"),
  offer: () => call<ShopAnswer>("POST", "shop/offer", {}),
  endOffer: () => call<ShopAnswer>("DELETE", "shop/offer"),
  decide: (id: string, admit: boolean) => call<ShopAnswer>("POST", `shop/asking/${id}`, { admit }),
  sendAway: (id: string) => call<ShopAnswer>("DELETE", `shop/devices/${id}`),
  /** Photo cells that are open on the computer. */
  places: async () =>
    (await call<{ places: (PhotoPlaces & { client: string })[] }>("GET", "photographs/places")).places,
  announce: (places: PhotoPlaces) => call<object>("PUT", "photographs/places", places),
  hand: (client: string, cell: string, picture: object) =>
    call<object>("POST", "photographs", { client, cell, picture }),
  picture: async (id: string) => (await call<{ picture: unknown }>("GET", `photographs/${id}`)).picture,
  taken: (id: string, trouble?: string) => call<object>("POST", `photographs/${id}/taken`, { trouble }),
};

/** From which side of a shop network this page is looked at; undefined where there is none. */
export function shopSide(): "computer" | "device" | undefined {
  const content = document.querySelector<HTMLMetaElement>('meta[name="bole-shop"]')?.content;
  return content === "computer" || content === "device" ? content : undefined;
}
