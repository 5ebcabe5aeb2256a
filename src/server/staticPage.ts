import { readdirSync, readFileSync } from "node:fs";
import type { IncomingMessage, ServerResponse } from "node:http";
import { extname, join, relative, sep } from "node:path";
import { commonHeaders } from "./answer.ts";
import { pagePolicy } from "./pagePolicy.ts";

const types: Record<string, string> = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".ico": "image/x-icon",
  ".woff2": "font/woff2",
  ".txt": "text/plain; charset=utf-8",
  ".csv": "text/csv; charset=utf-8",
};

interface PageFile {
  body: Buffer;
  type: string;
  cache: string;
}

/** Answers a request for a file of the page; false when there is no such file. */
export type StaticPage = (path: string, request: IncomingMessage, response: ServerResponse) => boolean;

/**
 * The built page, read once: no request ever reaches the file system, and a build made while the server runs
 * cannot mix old files with new ones.
 *
 * @param folder the built page with its index.html
 * @param token given to the page in `<meta name="bole-token">`
 */
export function createStaticPage(folder: string, token: string): StaticPage {
  const files = new Map<string, PageFile>();
  for (const entry of readdirSync(folder, { withFileTypes: true, recursive: true })) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath, entry.name);
    const address = `/${relative(folder, path).split(sep).join("/")}`;
    files.set(address, {
      body: readFileSync(path),
      type: types[extname(path)] ?? "application/octet-stream",
      // The names of built assets change with their content.
      cache: address.startsWith("/assets/") ? "public, max-age=31536000, immutable" : "no-store",
    });
  }
  const index = files.get("/index.html");
  if (!index)
    throw new Error(`The built page has no index.html in "${folder}". Build again with npm run build.`);
  index.body = Buffer.from(withToken(index.body.toString("utf8"), token));
  files.set("/", index);

  return (path, request, response) => {
    const file = files.get(path);
    if (!file) return false;
    response.writeHead(200, {
      ...commonHeaders,
      "content-type": file.type,
      "content-length": file.body.length,
      "cache-control": file.cache,
      "content-security-policy": pagePolicy,
    });
    response.end(request.method === "HEAD" ? undefined : file.body);
    return true;
  };
}

/** Puts the token into the head of a page. The token is made of letters and digits only. */
function withToken(html: string, token: string): string {
  const meta = `<meta name="bole-token" content="${token}">`;
  return html.includes("</head>") ? html.replace("</head>", `${meta}\n</head>`) : meta + html;
}
