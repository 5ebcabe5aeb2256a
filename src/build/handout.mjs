import { existsSync, readdirSync, readFileSync } from "node:fs";
import { writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { Script } from "node:vm";
import { root } from "./sources.mjs";

/** What takes files and colours in: a saved page has nothing to read, so these elements stay undefined in it. */
const editors = [
  "src/controls/boleFile.ts",
  "src/controls/colourInput.ts",
  "src/controls/toLedger.ts",
  "src/controls/tablePreview.ts",
  "src/drawdownEditor/tableLoader.ts",
  "cells/photo/view/chartPatches.ts",
  "cells/photo/view/circleList.ts",
];
/** Readers of files, which are asked for when there is something to read: never in a saved page. */
const readers = /\/src\/(exchange\/read\w+|tables\/shelfFile|drawdowns\/tableFile)\.ts$/;

/**
 * Builds the program of saved pages: one file with its parts, from which a page takes those that its cells need. Parts are
 * in the form of functions of `require`, because a page that stands on a disk can load nothing.
 *
 * @param {string} outFile path of the file; its form is told in src/handout/template.ts
 */
export async function buildHandout(outFile) {
  const { build } = await import("vite");
  const kinds = readdirSync(join(root, "cells")).filter((name) =>
    existsSync(join(root, "cells", name, "view.ts")),
  );
  let long = new Set();
  const output = await build({
    root,
    configFile: false,
    publicDir: false,
    mode: "production",
    logLevel: "warn",
    define: { "process.env.NODE_ENV": '"production"' },
    plugins: [withoutEditors(), longWork(kinds, (found) => (long = found))],
    build: {
      write: false,
      target: "es2022",
      minify: true,
      modulePreload: false,
      reportCompressedSize: false,
      // As a library nothing is put around what is asked for later.
      lib: {
        entry: { page: join(root, "src/handoutPage/main.ts"), work: join(root, "src/handoutPage/work.ts") },
        formats: ["cjs"],
      },
      rolldownOptions: {
        output: { entryFileNames: "[name].js", chunkFileNames: "[name]-[hash].js" },
      },
    },
  });
  const chunks = [output].flat()[0].output.filter(({ type }) => type === "chunk");
  const partOf = (path) => {
    const id = join(root, path);
    // What others begin with as well stands in a part of its own, with or without neighbours.
    const chunk =
      chunks.find(({ facadeModuleId }) => facadeModuleId === id) ??
      chunks.find(({ moduleIds }) => moduleIds.includes(id));
    if (!chunk) throw new Error(`The program of saved pages has no part for ${path}.`);
    return basename(chunk.fileName);
  };
  const isReader = new Set(
    chunks
      .filter(({ moduleIds }) => moduleIds.some((id) => readers.test(id)))
      .map(({ fileName }) => fileName),
  );
  const names = (files) => files.map((name) => basename(name));
  const template = {
    format: "bole-handout",
    styles: readFileSync(join(root, "src/handoutPage/page.css"), "utf8"),
    parts: Object.fromEntries(
      chunks.map(({ fileName, code, imports, dynamicImports }) => [
        basename(fileName),
        {
          code: checked(fileName, code),
          needs: names(imports),
          later: names(dynamicImports.filter((name) => !isReader.has(name))),
        },
      ]),
    ),
    kinds: Object.fromEntries(
      kinds.map((kind) => [
        kind,
        {
          define: partOf(`cells/${kind}/define.ts`),
          view: partOf(`cells/${kind}/view.ts`),
          long: long.has(kind),
        },
      ]),
    ),
    page: partOf("src/handoutPage/main.ts"),
    worker: partOf("src/handoutPage/work.ts"),
    work: [
      "src/workers/direct.ts",
      "src/workers/runTaskOn.ts",
      "src/workers/workerPool.ts",
      "src/workers/tasks.ts",
    ].map(partOf),
  };
  await writeFile(outFile, JSON.stringify(template));
}

/** A part must be a script by itself, also as it is spelled within an element. */
function checked(name, code) {
  const loads = /.{0,40}(?<![.\w$])import\s*(\(|\.meta).{0,40}/.exec(code);
  if (loads) throw new Error(`${name}: a saved page cannot load anything: ${loads[0]}`);
  new Script(`(function(require,module,exports){${code.replace(/<(?=\/script|!--)/gi, "\\x3c")}\n})`, {
    filename: name,
  });
  return code;
}

function withoutEditors() {
  const paths = new Set(editors.map((path) => join(root, path)));
  return {
    name: "bole-without-editors",
    load: (id) => (paths.has(id) ? { code: "export {};", moduleSideEffects: false } : undefined),
  };
}

/** Tells which kinds can ask for long work: those from whose code a list of tasks is reached. */
function longWork(kinds, tell) {
  return {
    name: "bole-long-work",
    generateBundle() {
      const reaches = (kind) => {
        const seen = new Set([join(root, `cells/${kind}/define.ts`)]);
        for (const id of seen) {
          if (/\/longTasks\.ts$/.test(id)) return true;
          const info = this.getModuleInfo(id);
          for (const next of [...(info?.importedIds ?? []), ...(info?.dynamicallyImportedIds ?? [])])
            seen.add(next);
        }
        return false;
      };
      tell(new Set(kinds.filter(reaches)));
    },
  };
}
