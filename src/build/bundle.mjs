import { join } from "node:path";
import { root } from "./sources.mjs";

/**
 * Bundles a TypeScript entry with everything it imports into one program for plain Node.
 *
 * @param {string} entry path from the project folder
 * @param {string} outDir where main.js goes
 * @param {{external?: string[], also?: Record<string, string>}} [options] packages that are left to be imported from
 * node_modules; further entries by the names of their programs, such as those of threads
 */
export async function bundleForNode(entry, outDir, { external = [], also = {} } = {}) {
  const { build } = await import("vite");
  await build({
    root,
    configFile: false,
    publicDir: false,
    logLevel: "warn",
    // Vite takes the entries of dependencies meant for Node, where there are such.
    ssr: { noExternal: true, external },
    build: {
      ssr: true,
      outDir,
      emptyOutDir: true,
      target: "node20",
      minify: false,
      reportCompressedSize: false,
      rolldownOptions: {
        external,
        input: Object.fromEntries(
          Object.entries({ main: entry, ...also }).map(([name, path]) => [name, join(root, path)]),
        ),
        output: { entryFileNames: "[name].js", chunkFileNames: "chunks/[name]-[hash].js" },
      },
    },
  });
}
