import { sameValue } from "../document/sameValue.ts";
import type { Panel } from "./panel.ts";

/** What was changed in a panel, in words. */
export function changeWords(before: Panel, after: Panel): string {
  const said = (name: string, from: string, to: string) =>
    from === to ? [] : [`${name} from ${from ? `“${from}”` : "nothing"} to ${to ? `“${to}”` : "nothing"}`];
  const bottle = ({ parts }: Panel, name: string) => parts.find((part) => part.name === name)?.batch ?? "";
  const poured = ({ parts, thickness, coats, basis, below, ground }: Panel) => [
    parts.map(({ name, amount }) => [name, amount]),
    ...[thickness, coats, basis, below, ground],
  ];
  const words = [
    ...said("name", before.label, after.label),
    ...said("date", before.date, after.date),
    ...said("instrument or hand", before.habit, after.habit),
    ...said("set aside because", before.setAside, after.setAside),
    ...before.parts.flatMap(({ name }) =>
      said(`bottle of ${name}`, bottle(before, name), bottle(after, name)),
    ),
    ...(sameValue(poured(before), poured(after)) ? [] : ["what was poured or laid"]),
    ...(sameValue(before.reading, after.reading) ? [] : ["the reading"]),
  ];
  return words.join("; ") || "nothing that shows";
}
