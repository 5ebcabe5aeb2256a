import { XMLParser, XMLValidator } from "fast-xml-parser";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";

/** One element: its attributes, its own text and its children by name; prefixes of namespaces are left out. */
export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly text: string;
  readonly children: readonly XmlElement[];
}

/** What a tree may hold at most. */
export const xmlLimits = { depth: 40, elements: 500_000 } as const;

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
  refuseDeep(text, refuse);
  const valid = XMLValidator.validate(text);
  if (valid !== true)
    refuse(`no well-formed XML (${valid.err.msg.replace(/\.$/, "")})`, "Export it again", valid.err.line);
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
      `no well-formed XML (${cause instanceof Error ? cause.message : "unknown reason"})`,
      "Export it again",
    );
  }
  const count = { elements: 0 };
  const roots = elementsOf(nodes as Node[], count, refuse);
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

function elementsOf(nodes: Node[], count: { elements: number }, refuse: Refuse): XmlElement[] {
  const elements: XmlElement[] = [];
  for (const node of nodes) {
    const name = Object.keys(node).find((key) => key !== ":@");
    if (name === undefined || name === "#text") continue;
    count.elements++;
    if (count.elements > xmlLimits.elements) {
      refuse(`there are more than ${xmlLimits.elements} elements`, "Split the file");
    }
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
    elements.push({ name, attributes, text, children: elementsOf(inside, count, refuse) });
  }
  return elements;
}

type Refuse = (problem: string, wayOut: string, row?: number) => never;

/** Depth by counting tags, so that the tree builder never has to climb too deep. */
function refuseDeep(text: string, refuse: Refuse): void {
  let depth = 0;
  for (let i = text.indexOf("<"); i >= 0; i = text.indexOf("<", i + 1)) {
    const next = text[i + 1];
    const closing = text.startsWith("<!--", i) ? "-->" : text.startsWith("<![CDATA[", i) ? "]]>" : undefined;
    if (closing !== undefined) {
      const end = text.indexOf(closing, i);
      if (end < 0) return;
      i = end;
      continue;
    }
    if (next === "/") depth--;
    else if (next !== "?" && next !== "!") {
      const end = text.indexOf(">", i);
      if (end < 0) return;
      if (text[end - 1] !== "/") depth++;
      i = end - 1;
    }
    if (depth > xmlLimits.depth) {
      refuse(`elements are nested more than ${xmlLimits.depth} deep`, "Check where the file comes from");
    }
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
