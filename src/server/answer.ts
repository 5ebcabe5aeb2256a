import type { ServerResponse } from "node:http";

/**
 * Headers on every answer: no guessing of types, nothing told to other sites, no use of the page by other sites,
 * and no device that the workbench does not need.
 */
export const commonHeaders: Record<string, string> = {
  "x-content-type-options": "nosniff",
  "referrer-policy": "no-referrer",
  "cross-origin-opener-policy": "same-origin",
  "cross-origin-resource-policy": "same-origin",
  "permissions-policy": "camera=(), microphone=(), geolocation=(), usb=(), serial=(), payment=()",
};

/** Answers with JSON, which is never kept and never shown as a page. */
export function answerJson(response: ServerResponse, status: number, value: unknown, head = false): void {
  const body = Buffer.from(JSON.stringify(value));
  response.writeHead(status, {
    ...commonHeaders,
    "content-type": "application/json; charset=utf-8",
    "content-length": body.length,
    "cache-control": "no-store",
    "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
  });
  response.end(head ? undefined : body);
}
