import { applyPatches, enablePatches, type Patch, produceWithPatches } from "immer";
import type { NotebookCell, NotebookDocument } from "./notebook.ts";
import { sameValue } from "./sameValue.ts";

enablePatches();

/** The way from one state of a notebook to another and back, small enough to be kept for each gesture. */
export interface Step {
  readonly patches: readonly Patch[];
  readonly inverse: readonly Patch[];
}

/**
 * The form that patches speak of: cells by id and their order as one text. A cell put in at the top is then one new
 * cell and one new order, where patches of a list would repeat every cell below it.
 */
interface Keyed {
  readonly head: Omit<NotebookDocument, "cells">;
  readonly order: string;
  readonly cells: Readonly<Record<string, NotebookCell>>;
}

// An id may be a word that patches refuse, such as "constructor"; with the mark it is none.
const keyOf = (id: string) => `#${id}`;

function keyed(document: NotebookDocument): Keyed {
  const { cells, ...head } = document;
  const byId: Record<string, NotebookCell> = {};
  for (const cell of cells) byId[keyOf(cell.id)] = cell;
  return { head, order: cells.map((cell) => cell.id).join(" "), cells: byId };
}

function unkeyed({ head, order, cells }: Keyed): NotebookDocument {
  const ids = order === "" ? [] : order.split(" ");
  return { ...head, cells: ids.map((id) => cells[keyOf(id)]) };
}

/** The patches between two states, both ways. Cells that are the same object in both cost nothing. */
export function stepBetween(before: NotebookDocument, after: NotebookDocument): Step {
  const wanted = keyed(after);
  const [, patches, inverse] = produceWithPatches(keyed(before), (draft) => {
    shape(draft as unknown as Fields, wanted as unknown as Fields);
  });
  return { patches, inverse };
}

type Fields = Record<string, unknown>;

/** Changes a draft into what is wanted, touching no more than what differs. */
function shape(draft: Fields, wanted: Fields): void {
  for (const key of Object.keys(draft)) {
    if (!Object.hasOwn(wanted, key) || wanted[key] === undefined) delete draft[key];
  }
  for (const key of Object.keys(wanted)) {
    const [is, shall] = [draft[key], wanted[key]];
    if (shall === undefined || sameValue(is, shall)) continue;
    if (isFields(is) && isFields(shall)) shape(is, shall);
    else if (isList(is) && isList(shall) && is.length === shall.length) shapeList(is, shall);
    else draft[key] = shall;
  }
}

/** Lists of numbers or texts are replaced as a whole: one patch is smaller than many. */
function isList(value: unknown): value is unknown[] {
  return Array.isArray(value) && value.every((item) => isFields(item));
}

function shapeList(draft: unknown[], wanted: unknown[]): void {
  for (let index = 0; index < wanted.length; index++) {
    if (!sameValue(draft[index], wanted[index])) shape(draft[index] as Fields, wanted[index] as Fields);
  }
}

function isFields(value: unknown): value is Fields {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/**
 * Take a step. Cells that it leaves alone keep their identity.
 * @throws Error when the step does not belong to this state
 */
export function takeStep(document: NotebookDocument, step: Step): NotebookDocument {
  return unkeyed(applyPatches(keyed(document), step.patches as Patch[]));
}

/**
 * Take a step back.
 * @throws Error when the step does not belong to this state
 */
export function takeStepBack(document: NotebookDocument, step: Step): NotebookDocument {
  return unkeyed(applyPatches(keyed(document), step.inverse as Patch[]));
}

/** A step in which nothing happens. */
export function isEmptyStep(step: Step): boolean {
  return step.patches.length === 0;
}
