/**
 * The charts come with one style element of fixed text, which policies allow by its hash while they allow nothing else: styles
 * of elements are set through their properties (in templates `.style=${…}`, not `style=${…}`).
 */
export const chartStyleHash = "sha256-jSYQUrW7J0b3jPqhZP9C2Xh1PyJKHKXd4s0fpGGKrww=";
