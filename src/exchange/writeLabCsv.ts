import type { LabSample } from "./colourSample.ts";
import { numberText } from "./writeSpectrumCsv.ts";

/**
 * CSV text of CIELAB readings with common conditions: comment lines that say them, then name, L*, a*, b*. What is
 * written is read back the same.
 *
 * @throws RangeError for no samples, conditions that differ, or values not finite
 */
export function writeLabCsv(samples: readonly LabSample[], comments: readonly string[] = []): string {
  if (samples.length === 0) throw new RangeError("no samples: at least one is needed");
  const [{ observer, illuminant, specular }] = samples;
  const odd = samples.find(
    (sample) =>
      sample.observer !== observer || sample.illuminant !== illuminant || sample.specular !== specular,
  );
  if (odd) {
    throw new RangeError(
      `"${samples[0].label}" and "${odd.label}" were not read alike: export them one by one`,
    );
  }
  const conditions = [
    illuminant === undefined ? "" : `illuminant ${illuminant}`,
    observer === undefined ? "" : `${observer === "1931-2" ? "2" : "10"} degree observer`,
    specular === undefined ? "" : `specular ${specular}`,
  ].filter((text) => text !== "");
  return [
    ...[...comments, ...conditions]
      .flatMap((comment) => comment.split(/\r\n?|\n/))
      .map((line) => `# ${line}`),
    "name,L*,a*,b*",
    ...samples.map(({ label, Lab }) => [quoted(label), ...Lab.map(numberText)].join(",")),
    "",
  ].join("\n");
}

function quoted(label: string): string {
  return `"${label.replace(/\s+/g, " ").trim().replaceAll('"', '""')}"`;
}
