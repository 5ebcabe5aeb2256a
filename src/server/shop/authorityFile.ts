import { X509Certificate } from "node:crypto";
import type { ServerResponse } from "node:http";
import { commonHeaders } from "../answer.ts";
import type { Shop } from "./shop.ts";

/** The authority as a file that phones and tablets can install. Source of the type: RFC 5280 and custom (from memory). */
export function answerAuthority({ identity }: Shop, response: ServerResponse): void {
  const { raw } = new X509Certificate(identity.authority);
  response.writeHead(200, {
    ...commonHeaders,
    "content-type": "application/x-x509-ca-cert",
    "content-disposition": 'attachment; filename="bole-authority.crt"',
    "content-length": raw.length,
    "cache-control": "no-store",
    "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
  });
  response.end(raw);
}
