/**
 * Makes one archive of everything that runs, to be unpacked anywhere: npm run release. Needs Node.js there, and neither
 * packages nor a network.
 */
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { licencesOfPackages } from "./licences.mjs";
import { distFolder, root } from "./sources.mjs";
import { buildIfStale } from "./stale.mjs";
import { enoughNode, unixStart, windowsStart } from "./startFiles.mjs";
import { zipOf } from "./zip.mjs";

const mostBytes = 5_000_000;
const runnable = 0o755;

const { version, engines } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
const node = engines.node.replace(/^>=/, "");

/** Everything in a folder of the project, by its names in the archive. */
function folder(from, to) {
  return readdirSync(join(root, from), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .sort()
    .map((path) => ({
      name: to + path.slice(join(root, from).length).replaceAll("\\", "/"),
      bytes: readFileSync(path),
    }));
}

const text = (name, words, mode) => ({ name, bytes: Buffer.from(words, "utf8"), mode });
const copy = (name, from) => ({ name, bytes: readFileSync(join(root, from)) });

function starts() {
  const workbench = { what: "The workbench", program: "start.mjs", node };
  const line = { what: "The command line of Bole", program: "bole.mjs", node };
  return [
    text("start-bole.sh", unixStart({ ...workbench, system: "Linux" }), runnable),
    text("start-bole.command", unixStart({ ...workbench, system: "macOS" }), runnable),
    text("start-bole.cmd", windowsStart({ ...workbench, system: "Windows", staysOpen: true })),
    text("bole", unixStart({ ...line, system: "Linux and macOS" }), runnable),
    text("bole.cmd", windowsStart({ ...line, system: "Windows", staysOpen: false })),
  ];
}

function everything() {
  const readMe = readFileSync(join(root, "src/release/read-me.txt"), "utf8");
  return [
    text("READ ME.txt", readMe.replaceAll("@version@", version).replaceAll("@node@", node)),
    ...starts(),
    copy("LICENSE.txt", "LICENSE"),
    text("licences of packages.txt", licencesOfPackages()),
    text("program/enoughNode.cjs", enoughNode(node)),
    // Says which kind of module the bundled programs are.
    text(
      "program/package.json",
      `${JSON.stringify({ name: "bole", version, private: true, type: "module" })}\n`,
    ),
    copy("program/start.mjs", "src/release/start.mjs"),
    copy("program/bole.mjs", "src/release/bole.mjs"),
    ...folder("dist/page", "program/page"),
    ...folder("dist/server", "program/server"),
    ...folder("dist/cli", "program/cli"),
    ...folder("data/examples", "examples"),
  ];
}

await buildIfStale();
const name = `bole-${version}`;
const archive = zipOf(everything().map((file) => ({ ...file, name: `${name}/${file.name}` })));
if (archive.length > mostBytes)
  throw new Error(`The archive has ${archive.length} bytes; at most ${mostBytes} are allowed.`);
const path = join(distFolder, `${name}.zip`);
writeFileSync(path, archive);
console.log(`${path}: ${(archive.length / 1e6).toFixed(2)} MB`);
