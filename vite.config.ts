import { playwright } from "@vitest/browser-playwright";
import { defineConfig } from "vitest/config";
import { appFiles } from "./src/build/appFiles.ts";
import { shortStyles } from "./src/build/shortStyles.ts";
import { notebookServer } from "./src/server/vitePlugin.ts";
import { browserLaunch } from "./test/browserLaunch.mjs";
import { few } from "./test/howMuch.ts";

const root = import.meta.dirname;
const underVitest = process.env.VITEST !== undefined;

/** These put a disk that fails in place of the file system, and so need modules of their own. */
const onFaultyDisks = ["faults", "folder", "races", "truth"].map(
  (name) => `test/server/store.${name}.test.ts`,
);

const launchOptions = underVitest ? await browserLaunch() : {};

/** Elements and workers are tried in a real browser; each project takes an object of its own, as names are written into it. */
const inBrowser = () => ({
  enabled: true,
  headless: true,
  screenshotFailures: false,
  provider: playwright({ launchOptions }),
  instances: [{ browser: "chromium" as const }],
});

export default defineConfig({
  root: underVitest ? root : `${root}/src/shell`,
  publicDir: false as const,
  plugins: underVitest ? [] : [notebookServer(root), appFiles(root), shortStyles()],
  server: { host: "127.0.0.1", fs: { allow: [root] } },
  build: {
    outDir: `${root}/dist/page`,
    emptyOutDir: true,
    target: "es2022",
    // Everything is served by our own server under a strict policy: no inlined data URLs.
    assetsInlineLimit: 0,
    rolldownOptions: { input: [`${root}/src/shell/index.html`, `${root}/src/shell/pair.html`] },
    // Preload lists cost more in script than they save on the same machine.
    modulePreload: false,
  },
  worker: { format: "es" as const },
  optimizeDeps: {
    include: [
      "lit",
      "lit/decorators.js",
      "lit/directives/live.js",
      "axe-core",
      "comlink",
      "ml-matrix",
      "@observablehq/plot",
      "@observablehq/runtime",
      "culori/fn",
      "valibot",
    ],
  },
  test: {
    // Ends what hangs; all cases of a draw may take minutes.
    testTimeout: process.env.BOLE_THOROUGH === "1" ? 300_000 : 60_000,
    // By default one core is left free, which on a machine with two leaves one.
    maxWorkers: "100%",
    projects: [
      {
        extends: true as const,
        test: {
          name: "unit",
          environment: "node",
          include: ["test/**/*.test.ts"],
          exclude: ["test/browser/**", "test/browsers/**", "test/e2e/**", ...onFaultyDisks],
          // Nothing here replaces a module or keeps a state: read once, every file of a worker uses the same.
          isolate: false,
        },
      },
      {
        extends: true as const,
        test: {
          name: "faults",
          environment: "node",
          include: onFaultyDisks,
        },
      },
      {
        extends: true as const,
        test: {
          name: "browser",
          include: ["test/browser/**/*.test.ts"],
          exclude: ["test/browser/timed/**"],
          // Waiting for a state of the page: a busy machine may need a while.
          expect: { poll: { timeout: 30_000 } },
          browser: inBrowser(),
        },
      },
      {
        extends: true as const,
        test: {
          name: "e2e",
          environment: "node",
          include: ["test/e2e/*.test.ts", "test/browsers/*.test.ts"],
          // Helpers are read once; server and browser are those of a file (`endFile` of test/e2e/harness.ts).
          isolate: false,
          setupFiles: ["test/e2e/everyday.ts"],
          // Where everything is tried, one window at a time: each has the machine for itself, and time is no matter.
          fileParallelism: process.env.BOLE_THOROUGH !== "1",
          globalSetup: ["test/e2e/setup.ts"],
          testTimeout: 180_000,
          hookTimeout: 180_000,
          expect: { poll: { timeout: 30_000 } },
        },
      },
      {
        extends: true as const,
        test: {
          name: "timed",
          environment: "node",
          // Speed is measured with nothing else going on.
          include: ["test/e2e/timed/*.test.ts"],
          setupFiles: ["test/e2e/everyday.ts"],
          globalSetup: ["test/e2e/setup.ts"],
          fileParallelism: false,
          testTimeout: 180_000,
          hookTimeout: 180_000,
          expect: { poll: { timeout: 30_000 } },
        },
      },
      {
        extends: true as const,
        test: {
          name: "timedWorkers",
          // Short runs check the order of things alone, in `browser`.
          include: few ? [] : ["test/browser/timed/*.test.ts"],
          browser: inBrowser(),
          // After the others of its run, so that here too nothing else goes on.
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
});
