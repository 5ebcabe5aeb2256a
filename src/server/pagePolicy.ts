/**
 * The charts come with one style element of fixed text, which is allowed by its hash and nothing else is: styles of
 * elements are set through their properties (in templates `.style=${…}`, not `style=${…}`).
 */
export const chartStyleHash = "sha256-jSYQUrW7J0b3jPqhZP9C2Xh1PyJKHKXd4s0fpGGKrww=";

/** What the page may load and do: its own files only. */
export const pagePolicy = [
  "default-src 'none'",
  "script-src 'self'",
  `style-src 'self' '${chartStyleHash}'`,
  "img-src 'self' data: blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "worker-src 'self'",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join("; ");
