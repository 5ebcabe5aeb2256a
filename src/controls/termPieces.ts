/** An entry of a glossary. */
export interface ExplainedTerm {
  readonly term: string;
  readonly also: readonly string[];
  readonly meaning: string;
}

/** A piece of text, or a word in it with its explanation and the punctuation that must stay on its line. */
export type TextPiece = string | { readonly word: string; readonly meaning: string; readonly tail: string };

const matchers = new WeakMap<
  readonly ExplainedTerm[],
  { pattern: RegExp; byForm: Map<string, ExplainedTerm> }
>();

function matcherOf(terms: readonly ExplainedTerm[]) {
  let matcher = matchers.get(terms);
  if (!matcher) {
    const byForm = new Map(
      terms.flatMap((entry) =>
        [entry.term, ...entry.also].map((form) => [form.toLowerCase(), entry] as const),
      ),
    );
    // A single letter is too often something else than the term.
    const forms = [...byForm.keys()]
      .filter((form) => [...form].length > 1)
      .sort((a, b) => b.length - a.length);
    const escaped = forms.map((form) => form.replace(/[.*+?^${}()|[\]\\]/g, "\\$&"));
    const pattern = new RegExp(`(?<![\\p{L}\\p{N}*-])(?:${escaped.join("|")})(?![\\p{L}\\p{N}*-])`, "giu");
    matchers.set(terms, (matcher = { pattern, byForm }));
  }
  return matcher;
}

/** A text cut at the terms it holds; each term is explained once, where it first stands. The longest form wins. */
export function cutAtTerms(text: string, terms: readonly ExplainedTerm[]): TextPiece[] {
  const { pattern, byForm } = matcherOf(terms);
  const pieces: TextPiece[] = [];
  const explained = new Set<ExplainedTerm>();
  let done = 0;
  for (const match of text.matchAll(pattern)) {
    const entry = byForm.get(match[0].toLowerCase());
    if (!entry || explained.has(entry)) continue;
    explained.add(entry);
    if (match.index > done) pieces.push(text.slice(done, match.index));
    const end = match.index + match[0].length;
    const tail = /^[.,;:?!)\]”’"]*/.exec(text.slice(end))?.[0] ?? "";
    pieces.push({ word: match[0], meaning: entry.meaning, tail });
    done = end + tail.length;
  }
  if (done < text.length) pieces.push(text.slice(done));
  return pieces;
}
