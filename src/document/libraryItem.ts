import * as v from "valibot";
import { checkSchema, kindSchema, parametersSchema, refuseTraps, titleSchema } from "./notebook.ts";

/** The form of a library item that this program writes. */
export const libraryFormat = "bole-library-item";
export const libraryFormatVersion = 1;

/** How many versions an item may have. */
export const mostVersions = 500;

const versionSchema = v.strictObject({
  number: v.pipe(v.number(), v.integer(), v.minValue(1)),
  saved: v.pipe(v.string(), v.maxLength(40)),
  title: titleSchema,
  note: v.pipe(v.string(), v.maxLength(500, "at most 500 characters")),
  parameters: parametersSchema,
});

const itemSchema = v.strictObject({
  format: v.literal(libraryFormat, `expected "${libraryFormat}": this is not an item of the library`),
  version: v.literal(
    libraryFormatVersion,
    `version ${libraryFormatVersion} is read here; what a newer Bole has written has to be opened with that`,
  ),
  kind: kindSchema,
  versions: v.pipe(
    v.array(versionSchema),
    v.minLength(1, "at least one version is needed"),
    v.maxLength(mostVersions, `at most ${mostVersions} versions`),
    v.check(
      (versions) => versions.every(({ number }, index) => index === 0 || number > versions[index - 1].number),
      "the numbers of versions have to rise",
    ),
  ),
});

/** The settings of a cell as they were saved once. */
export interface ItemVersion {
  readonly number: number;
  /** ISO time. */
  readonly saved: string;
  readonly title: string;
  readonly note: string;
  readonly parameters: Readonly<Record<string, unknown>>;
}

/** A cell that many notebooks use, with every version it has had, oldest first. */
export interface LibraryItem {
  readonly format: typeof libraryFormat;
  readonly version: typeof libraryFormatVersion;
  readonly kind: string;
  readonly versions: readonly ItemVersion[];
}

/**
 * Check a plain object as a library item.
 * @throws NotebookFormatError with the place, the value and what is allowed
 */
export function checkLibraryItem(plain: unknown): LibraryItem {
  refuseTraps(plain, "the library item");
  return checkSchema(itemSchema, plain, "the library item");
}

/** The latest version of an item. */
export function latestVersion(item: LibraryItem): ItemVersion {
  return item.versions[item.versions.length - 1];
}

/** The text to save. */
export function serialiseLibraryItem(item: LibraryItem): string {
  return `${JSON.stringify(item, null, 1)}\n`;
}
