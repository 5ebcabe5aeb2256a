/**
 * The largest absorption K and scattering S that any paint can have, per µm of dry film. Larger ones come from a wrong
 * unit, from exchanged columns or from readings that are no film.
 *
 * Source: from memory: pure carbon black absorbs 10 to 15 per µm, which is 20 to 30 as K; titanium white scatters 1 to 3.
 * The bounds leave room for three times as much.
 */
export const mostCoefficient = { K: 100, S: 10 } as const;
