/**
 * Finds a browser for the tests and says how to launch it, so that `npm ci && npm test` needs nothing else.
 *
 * Order: CHROME_PATH; the browser that comes inside the development package (linux-x64), unpacked once under
 * node_modules/.cache; an installed Chrome, Chromium or Edge; else an error that says what to do.
 */
import { spawn } from "node:child_process";
import { randomUUID } from "node:crypto";
import { accessSync, constants, existsSync, readFileSync } from "node:fs";
import { mkdir, readdir, rename, rm, stat, writeFile } from "node:fs/promises";
import { delimiter, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** Folder of the project, also when this file is part of a bundle. */
const repository = projectFolder(dirname(fileURLToPath(import.meta.url)));
const cacheFolder = join(repository, "node_modules", ".cache", "bole-browser");
const packageFolder = join(repository, "node_modules", "@sparticuz", "chromium");
const unpackLimitMs = 180_000;
const forgottenAfterMs = 3_600_000;

const launchArguments = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--disable-dev-shm-usage",
  "--force-color-profile=srgb",
  "--font-render-hinting=none",
];

/**
 * Launch options for playwright.
 *
 * @returns {Promise<import("./browserLaunch.d.mts").BrowserLaunch>} path, arguments and environment of the browser
 * @throws Error when no browser is found, in words that say how to get one
 */
export async function browserLaunch() {
  const chosen = process.env.CHROME_PATH;
  if (chosen) {
    if (!isProgram(chosen))
      throw new Error(`CHROME_PATH is "${chosen}", which is not a program that can be run.`);
    return launchOf(chosen, {});
  }
  let bundledFailure = "";
  if (process.platform === "linux" && process.arch === "x64" && existsSync(packageFolder)) {
    try {
      return await bundledBrowser();
    } catch (error) {
      bundledFailure = ` The bundled browser could not be unpacked: ${error.message}`;
    }
  }
  const installed = installedBrowser();
  if (installed) return launchOf(installed, {});
  throw new Error(
    "No browser for the tests was found. Install Chrome, Chromium or Edge, or set CHROME_PATH to one." +
      bundledFailure,
  );
}

function projectFolder(folder) {
  if (existsSync(join(folder, "package.json")) || dirname(folder) === folder) return folder;
  return projectFolder(dirname(folder));
}

function launchOf(executablePath, extraEnvironment) {
  return {
    executablePath,
    args: [...launchArguments],
    env: { ...process.env, ...extraEnvironment },
    timeout: 60_000,
  };
}

/** Unpacks the bundled browser when that has not been done, else only looks whether it is there. */
async function bundledBrowser() {
  const { version } = JSON.parse(readFileSync(join(packageFolder, "package.json"), "utf8"));
  const folder = join(cacheFolder, `chromium-${version}`);
  if (!isProgram(join(folder, "chromium"))) await unpack(folder);
  const fontsFile = await writeFontsFile(folder);
  const libraries = join(folder, "al2023", "lib");
  const others = process.env.LD_LIBRARY_PATH;
  return launchOf(join(folder, "chromium"), {
    LD_LIBRARY_PATH: others ? `${libraries}:${others}` : libraries,
    FONTCONFIG_FILE: fontsFile,
  });
}

/**
 * Unpacks into a fresh folder and renames it into place: a half-unpacked browser never stands under the final
 * name, and of two processes that unpack at once the second one uses the folder of the first.
 */
async function unpack(folder) {
  await mkdir(cacheFolder, { recursive: true });
  await removeForgotten();
  const fresh = join(cacheFolder, `unpacking-${process.pid}-${randomUUID()}`);
  await mkdir(fresh);
  try {
    await runUnpacker(fresh);
    for (const name of ["chromium", "fonts", join("al2023", "lib")]) {
      if (!existsSync(join(fresh, name))) throw new Error(`the package gave no ${name}`);
    }
    await rename(fresh, folder).catch(async () => {
      if (isProgram(join(folder, "chromium"))) return; // another process was quicker
      await rm(folder, { recursive: true, force: true }); // a broken folder stands in the way
      await rename(fresh, folder);
    });
  } finally {
    await rm(fresh, { recursive: true, force: true });
  }
}

/**
 * The package unpacks into the temporary folder, trusts what stands there, and changes the environment of the
 * process that imports it; so it runs in a process of its own with a temporary folder of its own. Its system
 * libraries (NSS) are unpacked only when the runtime variable is set.
 */
function runUnpacker(temporaryFolder) {
  const program =
    'const { default: chromium } = await import("@sparticuz/chromium"); await chromium.executablePath();';
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, ["--input-type=module", "--eval", program], {
      cwd: repository,
      env: { ...process.env, NODE_OPTIONS: "", TMPDIR: temporaryFolder, AWS_LAMBDA_JS_RUNTIME: "nodejs20.x" },
      stdio: ["ignore", "ignore", "pipe"],
      timeout: unpackLimitMs,
    });
    let complaint = "";
    child.stderr.on("data", (chunk) => {
      complaint = (complaint + chunk).slice(-2000);
    });
    child.once("error", reject);
    child.once("close", (code, signal) => {
      if (code === 0) resolve();
      else reject(new Error(`unpacking ended with ${signal ?? code}. ${complaint.trim()}`));
    });
  });
}

/** Removes what processes that were killed while unpacking left behind. */
async function removeForgotten() {
  for (const name of await readdir(cacheFolder)) {
    if (!name.startsWith("unpacking-")) continue;
    const path = join(cacheFolder, name);
    const age = await stat(path)
      .then((found) => Date.now() - found.mtimeMs)
      .catch(() => 0);
    if (age > forgottenAfterMs) await rm(path, { recursive: true, force: true });
  }
}

/**
 * The font that comes with the browser is always there and comes first; fonts of the machine, if any, only fill
 * in missing characters, so that pages are laid out alike on every machine.
 */
async function writeFontsFile(folder) {
  const path = join(folder, "fonts.conf");
  const text = `<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig>
  <dir>${escapeXml(join(folder, "fonts"))}</dir>
  <dir>/usr/share/fonts</dir>
  <dir>/usr/local/share/fonts</dir>
  <cachedir>${escapeXml(join(folder, "font-cache"))}</cachedir>
  ${["sans-serif", "serif", "system-ui", "ui-sans-serif"]
    .map(
      (family) =>
        `<alias binding="same"><family>${family}</family><prefer><family>Open Sans</family></prefer></alias>`,
    )
    .join("\n  ")}
</fontconfig>
`;
  const present = existsSync(path) ? readFileSync(path, "utf8") : "";
  if (present !== text) {
    const fresh = `${path}.${process.pid}-${randomUUID()}`;
    await writeFile(fresh, text);
    await rename(fresh, path);
  }
  return path;
}

function escapeXml(text) {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
}

function installedBrowser() {
  if (process.platform === "darwin") {
    return ["Google Chrome", "Chromium", "Microsoft Edge"]
      .map((name) => `/Applications/${name}.app/Contents/MacOS/${name}`)
      .find(isProgram);
  }
  if (process.platform === "win32") {
    const bases = [process.env.PROGRAMFILES, process.env["PROGRAMFILES(X86)"], process.env.LOCALAPPDATA];
    const places = [
      ["Google", "Chrome", "Application", "chrome.exe"],
      ["Chromium", "Application", "chrome.exe"],
      ["Microsoft", "Edge", "Application", "msedge.exe"],
    ];
    return places
      .flatMap((place) => bases.filter(Boolean).map((base) => join(base, ...place)))
      .find(isProgram);
  }
  const names = [
    "google-chrome-stable",
    "google-chrome",
    "chromium",
    "chromium-browser",
    "microsoft-edge-stable",
    "microsoft-edge",
  ];
  const folders = (process.env.PATH ?? "").split(delimiter).filter(Boolean);
  return names.flatMap((name) => folders.map((folder) => join(folder, name))).find(isProgram);
}

function isProgram(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}
