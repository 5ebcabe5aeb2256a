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
  ".webmanifest": "application/manifest+json; charset=utf-8",
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

/** What the page is told in its head: the token for changes, and from which side of a shop network it is looked at. */
interface PageMarks {
  readonly token: string;
  readonly shop?: "computer" | "device";
}

/** Answers requests for the files of the page; false when there is no such file. */
export interface StaticPage {
  send(path: string, request: IncomingMessage, response: ServerResponse, marks: PageMarks): boolean;
  /** The page for devices that are not let in yet, and the files that it names: nothing of it is secret. */
  sendPairing(path: string, request: IncomingMessage, response: ServerResponse): boolean;
}

/**
 * The built page, read once: no request ever reaches the file system, and a build made while the server runs
 * cannot mix old files with new ones.
 *
 * @param folder the built page with its index.html
 */
export function createStaticPage(folder: string): StaticPage {
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
  const indexText = index.body.toString("utf8");
  const pairing = files.get("/pair.html");
  const namedByPairing = new Set(
    [...(pairing?.body.toString("utf8") ?? "").matchAll(/(?:src|href)="\.?(\/[^"]+)"/g)].map(
      ([, name]) => name,
    ),
  );
  files.delete("/pair.html");

  return {
    send(path, request, response, marks) {
      const isIndex = path === "/" || path === "/index.html";
      const file = isIndex ? { ...index, body: Buffer.from(marked(indexText, marks)) } : files.get(path);
      if (file) answer(file, request, response);
      return file !== undefined;
    },
    sendPairing(path, request, response) {
      const isStart = path === "/" || path === "/index.html";
      const file = isStart ? pairing : namedByPairing.has(path) ? files.get(path) : undefined;
      if (file) answer(file, request, response);
      return file !== undefined;
    },
  };
}

function answer(file: PageFile, request: IncomingMessage, response: ServerResponse): void {
  response.writeHead(200, {
    ...commonHeaders,
    "content-type": file.type,
    "content-length": file.body.length,
    "cache-control": file.cache,
    "content-security-policy": pagePolicy,
  });
  response.end(request.method === "HEAD" ? undefined : file.body);
}

/** Puts the marks into the head of a page. A token is made of letters and digits only. */
function marked(html: string, { token, shop }: PageMarks): string {
  const side = shop ? `<meta name="bole-shop" content="${shop}">\n` : "";
  const meta = `${side}<meta name="bole-token" content="${token}">`;
  return html.includes("</head>") ? html.replace("</head>", `${meta}\n</head>`) : meta + html;
}
