import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Plugin } from "vite";
import { type Drawing, drawingOf, iconOf } from "./icon.ts";

const manifestName = "app.webmanifest";

/**
 * Lets browsers that can do so install the page as an app: a web app manifest (W3C Web Application Manifest) and icons,
 * all made from the one drawing of the page's mark.
 *
 * @param root folder of the project
 */
export function appFiles(root: string): Plugin {
  return {
    name: "bole-app-files",
    apply: "build",
    generateBundle() {
      const drawing = drawingOf(readFileSync(join(root, "src/shell/mark.svg"), "utf8"));
      const files: Record<string, string | Uint8Array> = {
        [manifestName]: JSON.stringify(manifest),
        ...iconFiles(drawing),
      };
      for (const [fileName, source] of Object.entries(files))
        this.emitFile({ type: "asset", fileName, source });
    },
    transformIndexHtml: {
      order: "post",
      handler: (_, { filename }) =>
        filename.endsWith("index.html")
          ? [
              {
                tag: "link",
                // A device of the shop network is let in by its cookie, for this file too.
                attrs: { rel: "manifest", href: `/${manifestName}`, crossorigin: "use-credentials" },
                injectTo: "head",
              },
            ]
          : [],
    },
  };
}

const sizes = [192, 512];
/** Systems cut icons to a circle of 80 % of their width, at the worst. */
const cutShare = 0.72;

const iconFiles = (drawing: Drawing) =>
  Object.fromEntries([
    ...sizes.map((size) => [`icon-${size}.png`, iconOf(drawing, size)] as const),
    ["icon-to-cut.png", iconOf(drawing, 512, cutShare)] as const,
  ]);

const manifest = {
  id: "/",
  name: "Bole",
  short_name: "Bole",
  description: "Workbench for recolouring leather and vinyl trim",
  lang: "en-GB",
  start_url: "/",
  scope: "/",
  // With the browser's own way back: notebooks are addresses of one page.
  display: "minimal-ui",
  background_color: "#fafafa",
  icons: [
    ...sizes.map((size) => ({ src: `/icon-${size}.png`, sizes: `${size}x${size}`, type: "image/png" })),
    { src: "/icon-to-cut.png", sizes: "512x512", type: "image/png", purpose: "maskable" },
  ],
};
