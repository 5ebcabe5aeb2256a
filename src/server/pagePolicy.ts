import { chartStyleHash } from "../charts/plotStyle.ts";

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
