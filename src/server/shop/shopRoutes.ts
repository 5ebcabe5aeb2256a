import * as v from "valibot";
import type { PhotoPlaces } from "../../document/served.ts";
import { Refusal } from "../refusal.ts";
import type { Device } from "./devices.ts";
import type { Photographs } from "./photographs.ts";
import type { Shop } from "./shop.ts";

/** What the routes of the shop network are told of a request. */
export interface ShopCall {
  /** The decoded parts of the path that the route left open. */
  parts: string[];
  body: Record<string, unknown>;
  /** Mark of the page that asks. */
  client?: string;
  shop?: Shop;
  photographs: Photographs;
  /** The device that asks; left out for the computer itself. */
  device?: Device;
}

const short = v.pipe(v.string(), v.maxLength(200));
const placesSchema = v.object({
  notebook: short,
  cells: v.pipe(v.array(v.object({ id: short, title: short })), v.maxLength(20)),
});

/** What is done at each method and path, as in the handler. */
export const shopRoutes: Record<string, (call: ShopCall) => Promise<unknown>> = {
  "GET shop": async ({ shop, device }) =>
    device ? { device: { name: device.name } } : shop ? { shop: shop.state } : {},
  "POST shop/offer": async (call) => {
    const shop = atComputer(call);
    shop.pairing.begin();
    return { shop: shop.state };
  },
  "DELETE shop/offer": async (call) => {
    const shop = atComputer(call);
    shop.pairing.end();
    return { shop: shop.state };
  },
  "POST shop/asking/*": async (call) => {
    const shop = atComputer(call);
    const { admit } = call.body;
    if (typeof admit !== "boolean") throw new Refusal(400, "The field admit has to be true or false.");
    shop.pairing.decide(call.parts[0], admit);
    return { shop: shop.state };
  },
  "DELETE shop/devices/*": async (call) => {
    const shop = atComputer(call);
    await shop.sendAway(call.parts[0]);
    return { shop: shop.state };
  },
  "GET photographs/places": async ({ photographs }) => ({ places: photographs.places }),
  "PUT photographs/places": async (call) => {
    atComputer(call);
    const { success, output } = v.safeParse(placesSchema, call.body);
    if (!success || !call.client) throw new Refusal(400, "The fields notebook and cells are missing.");
    call.photographs.announce(call.client, output as PhotoPlaces);
    return {};
  },
  "POST photographs": async ({ photographs, body }) => {
    const { client, cell, picture } = body;
    if (typeof client !== "string" || typeof cell !== "string" || !picture)
      throw new Refusal(400, "The fields client, cell and picture are missing.");
    await photographs.hand(client, cell, picture);
    return {};
  },
  "GET photographs/*": async (call) => {
    atComputer(call);
    return { picture: call.photographs.picture(call.parts[0]) };
  },
  "POST photographs/*/taken": async (call) => {
    atComputer(call);
    const { trouble } = call.body;
    call.photographs.taken(call.parts[0], typeof trouble === "string" ? trouble.slice(0, 500) : undefined);
    return {};
  },
};

/** Where something new is made. */
export const shopMaking = ["POST shop/offer", "POST photographs"];

/** The shop network, for the computer alone: no device lets in another one, or sends it away. */
function atComputer({ shop, device }: ShopCall): Shop {
  if (device) throw new Refusal(403, "This can be done at the computer only.");
  if (!shop)
    throw new Refusal(
      404,
      "The shop network is closed. Open it by starting Bole with the option --shop-network.",
    );
  return shop;
}
