/** Kinds that are set up once and then only supply the others: they fold when they are ready. */
export const supplies: ReadonlySet<string> = new Set(["viewing", "pigment-set", "substrate", "coat-plan"]);
