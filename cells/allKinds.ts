import { growingRegistry } from "./registry.ts";

const everything = growingRegistry();
await everything.need();

/** Every kind of cell, loaded at once: for the command line, for tests, and where all kinds are to be offered. */
export const { registry } = everything;
