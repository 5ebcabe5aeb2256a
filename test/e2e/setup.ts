import { buildIfStale } from "../../src/build/stale.mjs";
import { browserLaunch } from "../browserLaunch.mjs";

/** Builds what ships when it is stale, and makes sure that a browser is at hand. */
export default async function setup(): Promise<void> {
  await buildIfStale();
  await browserLaunch();
}
