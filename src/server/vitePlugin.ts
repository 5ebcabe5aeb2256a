import { join } from "node:path";
import type { Plugin } from "vite";

/**
 * Serves the notebooks of a folder beside the page of Vite's development server, with the same request handler
 * as the real server. The page gets its token, but not the content-security policy, which Vite's own scripts break.
 *
 * @param root folder of the project
 */
export function notebookServer(root: string): Plugin {
  let token = "";
  // Vite starts anew, with a new plugin, before it closes the server it replaces; the folder has one user only.
  const held = ((globalThis as Record<symbol, unknown>)[Symbol.for("bole-notebook-server")] ??= {}) as {
    workplace?: import("./server.ts").Workplace;
  };
  return {
    name: "bole-notebook-server",
    apply: "serve",
    async configureServer(server) {
      if (process.env.VITEST !== undefined) return;
      // Loaded through Vite, because the examples are read with its import.meta.glob.
      const load = <Module>(file: string) =>
        server.ssrLoadModule(join(root, "src/server", file)) as Promise<Module>;
      const { openWorkplace } = await load<typeof import("./server.ts")>("server.ts");
      const { examples } = await load<typeof import("./examples.ts")>("examples.ts");
      await held.workplace?.close();
      const workplace = await openWorkplace({
        folder: process.env.BOLE_FOLDER ?? join(root, "notebooks"),
        examples,
        onFault: (error) => server.config.logger.error(String(error)),
      });
      held.workplace = workplace;
      token = workplace.token;
      server.httpServer?.once("close", () => void workplace.close());
      server.middlewares.use((request, response, next) => workplace.handler(request, response, next));
    },
    transformIndexHtml: () => [
      { tag: "meta", attrs: { name: "bole-token", content: token }, injectTo: "head" },
    ],
  };
}
