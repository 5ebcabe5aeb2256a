import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { root } from "./sources.mjs";

/**
 * The licences of all packages of which something may be in what is built: whatever `npm ci --omit=dev` would install.
 *
 * @returns {string} name, version, licence and its text, one package after the other
 */
export function licencesOfPackages() {
  const { packages } = JSON.parse(readFileSync(join(root, "package-lock.json"), "utf8"));
  const shipped = Object.entries(packages).filter(
    ([path, { dev, optional, devOptional }]) => path !== "" && !dev && !optional && !devOptional,
  );
  return shipped.map(([path, { version, license }]) => entry(path, version, license)).join("\n");
}

function entry(path, version, licence) {
  const folder = join(root, path);
  const texts = readdirSync(folder)
    .filter((name) => /^(licen[cs]e|copying|notice)/i.test(name))
    .map((name) => readFileSync(join(folder, name), "utf8").trim());
  const { author } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  const by = typeof author === "string" ? author : author?.name;
  const head = `${path.split("node_modules/").at(-1)} ${version} (${licence}${by ? `, ${by}` : ""})`;
  return [head, "=".repeat(head.length), ...texts, ""].join("\n");
}
