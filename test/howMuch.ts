/**
 * How much is tried. `BOLE_THOROUGH=1`: every drawn case, every look, the load for a full minute, as the project's own
 * checks do. Otherwise a fifth of the drawn cases and fewer looks, so that a run stays short.
 */
export const thorough = process.env.BOLE_THOROUGH === "1";

/** Number of drawn cases to try out of all. */
export const cases = (all: number): number => (thorough ? all : Math.ceil(all / 5));
