import { XMLParser, XMLValidator } from "fast-xml-parser";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { countOf } from "./countOf.ts";

/** One element: its attributes, its own text and its children by name; prefixes of namespaces are left out. */
export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly text: string;
  readonly children: readonly XmlElement[];
}

/** What a tree may hold at most. */
const xmlLimits = {
  depth: 40,
  tags: 300_000,
  attributes: 300_000,
  tagLength: 20_000,
  textLength: 200_000,
  entities: 50_000,
} as const;

/**
 * Reads XML text into a tree. Document types and entities of one's own are refused, so that nothing outside the text is
 * ever fetched and nothing inside it grows; of entities only the five of XML and numbered signs are understood.
 *
 * @throws SpectrumFileError for text that is no well-formed XML, holds a document type, or is too deep or too large
 */
export function xmlTree(text: string, file: string): XmlElement {
  const refuse = (problem: string, wayOut: string, row?: number): never => {
    throw new SpectrumFileError(file, problem, wayOut, row);
  };
  if (/<!\s*(?:DOCTYPE|ENTITY)/i.test(text)) {
    refuse("a document type or entities of its own are not allowed", "Export the file without a DOCTYPE");
  }
  refuseExcess(text, refuse);
  const valid = XMLValidator.validate(text);
  if (valid !== true)
    refuse(
      `no well-formed XML (${valid.err.msg.slice(0, 120).replace(/\.$/, "")})`,
      "Export it again",
      valid.err.line,
    );
  const parser = new XMLParser({
    preserveOrder: true,
    ignoreAttributes: false,
    attributeNamePrefix: "",
    removeNSPrefix: true,
    parseTagValue: false,
    parseAttributeValue: false,
    processEntities: false,
    trimValues: true,
    ignoreDeclaration: true,
    ignorePiTags: true,
    maxNestedTags: xmlLimits.depth + 1,
  });
  let nodes: unknown;
  try {
    nodes = parser.parse(text);
  } catch (cause) {
    return refuse(
      `no well-formed XML (${cause instanceof Error ? cause.message.slice(0, 120) : "unknown reason"})`,
      "Export it again",
    );
  }
  const roots = elementsOf(nodes as Node[]);
  if (roots.length !== 1) refuse("there must be exactly one outermost element", "Export it again");
  return roots[0];
}

/** First child of that name. */
export function child(element: XmlElement | undefined, name: string): XmlElement | undefined {
  return element?.children.find((candidate) => candidate.name === name);
}

/** All children of that name. */
export function childrenOf(element: XmlElement | undefined, name: string): XmlElement[] {
  return element ? element.children.filter((candidate) => candidate.name === name) : [];
}

/** The text of an element and everything in it, names of the elements included. */
export function wholeText(element: XmlElement): string {
  return [
    element.name,
    ...Object.values(element.attributes),
    element.text,
    ...element.children.map(wholeText),
  ].join(" ");
}

/** A node as the parser gives it: one key with the children (or "#text"), and ":@" with the attributes. */
type Node = Record<string, unknown>;

function elementsOf(nodes: Node[]): XmlElement[] {
  const elements: XmlElement[] = [];
  for (const node of nodes) {
    const name = Object.keys(node).find((key) => key !== ":@");
    if (name === undefined || name === "#text") continue;
    const inside = node[name] as Node[];
    const attributes: Record<string, string> = {};
    for (const [key, value] of Object.entries((node[":@"] as Node | undefined) ?? {})) {
      if (key !== "__proto__") attributes[key] = decoded(String(value));
    }
    const text = inside
      .filter((piece) => "#text" in piece)
      .map((piece) => decoded(String(piece["#text"])))
      .join(" ")
      .trim();
    elements.push({ name, attributes, text, children: elementsOf(inside) });
  }
  return elements;
}

type Refuse = (problem: string, wayOut: string, row?: number) => never;

/** Depth, number and length of tags, counted before anything is built, so that no file keeps the parser busy for long. */
function refuseExcess(text: string, refuse: Refuse): void {
  const excess = (what: string): never => refuse(what, "Check where the file comes from, or split it");
  let depth = 0;
  let after = 0;
  for (let tags = 0; tags <= xmlLimits.tags; tags++) {
    const i = text.indexOf("<", after);
    if (i < 0) break;
    if (i - after > xmlLimits.textLength)
      excess(`there are more than ${xmlLimits.textLength} signs in one element`);
    const closing = text.startsWith("<!--", i) ? "-->" : text.startsWith("<![CDATA[", i) ? "]]>" : ">";
    const end = text.indexOf(closing, i);
    if (end < 0) {
      excess("a tag or comment is not closed");
      return;
    }
    after = end + closing.length;
    if (tags === xmlLimits.tags) excess(`there are more than ${xmlLimits.tags} tags`);
    if (end - i > xmlLimits.tagLength) excess(`a tag or comment is longer than ${xmlLimits.tagLength} signs`);
    if (closing !== ">") continue;
    const next = text[i + 1];
    if (next === "/") depth--;
    else if (next !== "?" && next !== "!" && text[end - 1] !== "/") depth++;
    if (depth > xmlLimits.depth) excess(`elements are nested more than ${xmlLimits.depth} deep`);
  }
  if (text.length - after > xmlLimits.textLength) excess("there is too much text behind the last tag");
  if (countOf(text, "&", xmlLimits.entities) > xmlLimits.entities) {
    excess(`there are more than ${xmlLimits.entities} entities`);
  }
  if (countOf(text, "=", xmlLimits.attributes) > xmlLimits.attributes) {
    excess(`there are more than ${xmlLimits.attributes} attributes`);
  }
}

const named: Record<string, string> = { amp: "&", lt: "<", gt: ">", quot: '"', apos: "'" };

/** The five entities of XML and numbered signs, once; anything else stays as it stands. */
function decoded(text: string): string {
  return text.replace(
    /&(?:(amp|lt|gt|quot|apos)|#(\d{1,7})|#[xX]([0-9a-fA-F]{1,6}));/g,
    (whole, name, decimal, hex) => {
      if (name !== undefined) return named[name];
      const code = decimal === undefined ? Number.parseInt(hex, 16) : Number(decimal);
      return code > 0 && code <= 0x10ffff && !(code >= 0xd800 && code <= 0xdfff)
        ? String.fromCodePoint(code)
        : whole;
    },
  );
}
