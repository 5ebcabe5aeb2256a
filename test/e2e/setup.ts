import type { TestProject } from "vitest/node";
import { buildIfStale } from "../../src/build/stale.mjs";
import { browserLaunch } from "../browserLaunch.mjs";
import { startRealServer } from "./realServer.ts";

declare module "vitest" {
  interface ProvidedContext {
    /** Address of the server that all end-to-end tests share, such as http://127.0.0.1:40123 */
    serverAddress: string;
    /** Folder of its notebooks. */
    notebookFolder: string;
  }
}

/** Builds what ships when it is stale, starts the real server, and makes sure that a browser is at hand. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  await buildIfStale();
  await browserLaunch();
  const server = await startRealServer();
  project.provide("serverAddress", server.address);
  project.provide("notebookFolder", server.folder);
  return async () => {
    await server.stop();
  };
}
