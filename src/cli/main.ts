import { calibrateCommand } from "./calibrateCommand.ts";
import { differenceCommand } from "./differenceCommand.ts";
import { eyeCommand } from "./eyeCommand.ts";
import { filmCommand } from "./filmCommand.ts";
import { groundsCommand } from "./groundsCommand.ts";
import { labCommand } from "./labCommand.ts";
import { pageCommand } from "./pageCommand.ts";
import { runCommand } from "./runCommand.ts";
import { sheetCommand } from "./sheet.ts";
import { shelfCommand } from "./shelfCommand.ts";
import { type Command, exitCode, InputError, realSurroundings, type Surroundings } from "./surroundings.ts";

const commands: Command[] = [
  runCommand,
  sheetCommand,
  pageCommand,
  filmCommand,
  labCommand,
  differenceCommand,
  groundsCommand,
  calibrateCommand,
  shelfCommand,
  eyeCommand,
];

/** How it is started in the checkout; the words of all commands say it so. */
const usual = "npm run -s bole --";

const help = `Bole without a browser: computes notebooks, films and colours, and prints JSON.

  ${usual} COMMAND …

${commands.map(({ name, summary }) => `  ${name.padEnd(12)}${summary}`).join("\n")}

Each command explains itself: ${usual} COMMAND --help. Results go to standard output, complaints to
standard error. Exit code 0: all is well; 1: a result cannot be relied on; 2: a file or an option cannot be used.`;

/**
 * The command line.
 *
 * @param argv arguments after the program name
 * @param place `kindThread`: program of a thread for cells to be computed apart; `called`: what a person types to start it
 * @returns exit code: 0 all is well, 1 a result that cannot be relied on, 2 a file or option that cannot be used
 */
export async function main(
  argv: string[],
  surroundings: Surroundings = realSurroundings,
  { kindThread, called = usual }: { kindThread?: URL; called?: string } = {},
): Promise<number> {
  const inWords = (text: string) => text.replaceAll(usual, called);
  const [name, ...rest] = argv;
  if (name === "--help" || name === "-h" || name === "help") {
    surroundings.print(inWords(help));
    return exitCode.ok;
  }
  const command = commands.find((candidate) => candidate.name === name);
  if (!command) {
    surroundings.complain(inWords(name === undefined ? help : `There is no command "${name}".\n\n${help}`));
    return exitCode.unreadable;
  }
  const end = rest.indexOf("--");
  if (rest.slice(0, end < 0 ? undefined : end).some((word) => word === "--help" || word === "-h")) {
    surroundings.print(inWords(command.help));
    return exitCode.ok;
  }
  try {
    return await command.run(rest, { ...surroundings, kindThread });
  } catch (error) {
    surroundings.complain(inWords(wordsOf(error, command.name)));
    return exitCode.unreadable;
  }
}

/** Faults of files and options are told in their own words; anything else is a fault of the program and shows where. */
function wordsOf(error: unknown, command: string): string {
  if (!(error instanceof Error)) return String(error);
  const expected =
    error instanceof InputError ||
    error instanceof RangeError ||
    (error as { userMessage?: boolean }).userMessage === true;
  if (!expected) return `Fault of the program, please report it:\n${error.stack}`;
  const hint = error instanceof InputError ? `\nSee ${usual} ${command} --help.` : "";
  return `${error.message}${hint}`;
}
