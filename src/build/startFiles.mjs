/**
 * The files of the archive that a person starts. Only those for Linux are tried by the tests.
 *
 * @typedef {{ what: string, system: string, program: string, node: string }} Start what it starts and where; the
 * program in the archive's folder of programs; the oldest Node.js that will do, such as 20.19
 */

const missing = (node) => `Bole needs Node.js ${node} or newer, and no Node.js was found on this computer.`;
const wayOut = "Get it (the long-term support edition) from https://nodejs.org, then start Bole again.";

/** For macOS and Linux. @param {Start} start */
export function unixStart({ what, system, program, node }) {
  return `#!/bin/sh
# ${what} on ${system}. Needs Node.js ${node} or newer and nothing else.
file=$0
while [ -L "$file" ]; do
  target=$(readlink "$file")
  case $target in
    /*) file=$target ;;
    *) file=$(dirname -- "$file")/$target ;;
  esac
done
here=$(CDPATH= cd -- "$(dirname -- "$file")" && pwd) || exit 1
# Node.js often is in these places, where a program that is started from the desktop does not look.
PATH="$PATH:/usr/local/bin:/opt/homebrew/bin"
if ! command -v node >/dev/null 2>&1; then
  echo "${missing(node)}" >&2
  echo "${wayOut}" >&2
  exit 1
fi
exec node -r "$here/program/enoughNode.cjs" "$here/program/${program}" "$@"
`;
}

/** For Windows. @param {Start & { staysOpen: boolean }} start whether its window waits for a key after a fault */
export function windowsStart({ what, system, program, node, staysOpen }) {
  const lines = [
    "@echo off",
    `rem ${what} on ${system}. Needs Node.js ${node} or newer and nothing else.`,
    "setlocal",
    "where node >nul 2>nul",
    "if errorlevel 1 goto missing",
    `node -r "%~dp0program\\enoughNode.cjs" "%~dp0program\\${program}" %*`,
    "set code=%errorlevel%",
    "goto end",
    ":missing",
    `echo ${missing(node)} 1>&2`,
    `echo ${wayOut} 1>&2`,
    "set code=1",
    ":end",
    ...(staysOpen ? ["if not %code%==0 pause"] : []),
    "exit /b %code%",
  ];
  return lines.map((line) => `${line}\r\n`).join("");
}

/** Ends a Node.js that is too old; loaded before anything else, in words that the oldest one understands. */
export function enoughNode(node) {
  return `var needed = "${node}".split(".");
var found = process.versions.node.split(".");
if (+found[0] < +needed[0] || (found[0] === needed[0] && +found[1] < +needed[1])) {
  console.error(
    "Bole needs Node.js ${node} or newer, and this computer has Node.js " + process.versions.node + ".\\n" +
      "${wayOut}"
  );
  process.exit(1);
}
`;
}
