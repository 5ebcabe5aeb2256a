/** Bundles a TypeScript entry with everything it imports into one program for plain Node, outDir/main.js. */
export function bundleForNode(
  entry: string,
  outDir: string,
  options?: { external?: string[]; also?: Record<string, string> },
): Promise<void>;
