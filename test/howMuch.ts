/**
 * How much is tried. `BOLE_THOROUGH=1`: every drawn case, every look, the load for a full minute, as the project's own
 * checks do. Otherwise a fifth to a twentieth of the drawn cases, every fifth call of what is tried at each call, and fewer looks,
 * so that a run stays short.
 */
export const thorough = process.env.BOLE_THOROUGH === "1";

/** Whether this is `npm test` by itself: of the journeys in the browser it goes the main ones alone. */
export const few = process.env.npm_lifecycle_event === "test" && !thorough;

/** Steps from one call to the next where something is tried at each: from the first on, so that the first is always tried. */
export const callStride = thorough ? 1 : 5;

/**
 * Number of drawn cases to try out of all.
 * @param nth one of how many is tried in a short run: five where a figure is taken over all, more where each stands for itself
 */
export const cases = (all: number, nth = 5): number => (thorough ? all : Math.ceil(all / nth));
