// Where a name is given and used, renaming it, and the outline of a text.

import { shipped } from "../blocks/shipped.js";
import type { Statement } from "../syntax/tree.js";
import type { Desk } from "./desk.js";
import type { Named, NamedSort } from "./named.js";
import type { Occurrence } from "./occurrences.js";
import { foundAt, linesOf, placeAt, rangeIn } from "./positions.js";
import {
  type DocumentSymbol,
  type Location,
  type Position,
  type Range,
  SymbolKind,
  type TextEdit,
  type WorkspaceEdit,
} from "./protocol.js";

/** The name at a position. */
export function occurrenceAt(desk: Desk, uri: string, position: Position): Occurrence | undefined {
  const text = desk.text(uri);
  return text === undefined ? undefined : foundAt(desk.index(uri).occurrences, placeAt(text, position));
}

/** Where the name at a position is given, or the text that is brought there. */
export function definition(desk: Desk, uri: string, position: Position): Location | undefined {
  const text = desk.text(uri);
  if (text === undefined) return undefined;
  const found = occurrenceAt(desk, uri, position);
  if (found) return locationOf(desk, found.named);
  const brought = foundAt(desk.page(uri)?.brings ?? [], placeAt(text, position));
  const there = brought && desk.near(uri, brought.text)?.uri;
  const start = { line: 0, character: 0 };
  return there === undefined ? undefined : { uri: there, range: { start, end: start } };
}

function locationOf(desk: Desk, { uri, span }: Named): Location | undefined {
  if (uri.startsWith("shipped:")) return undefined;
  return { uri, range: rangeIn(desk.text(uri) ?? "", span) };
}

/** All uses of the name at a position, in every text at hand. */
export function references(desk: Desk, uri: string, position: Position, given: boolean): Location[] {
  const found = occurrenceAt(desk, uri, position);
  if (!found) return [];
  return places(desk, uri, found.named)
    .filter(({ at, span }) => given || !(at === found.named.uri && sameSpan(span, found.named.span)))
    .map(({ at, span }) => ({ uri: at, range: rangeIn(desk.text(at) ?? "", span) }));
}

/** The uses of the name at a position within the text itself. */
export function highlights(desk: Desk, uri: string, position: Position): Range[] {
  const found = occurrenceAt(desk, uri, position);
  const text = desk.text(uri);
  if (!found || text === undefined) return [];
  const { occurrences } = desk.index(uri);
  return occurrences.filter(({ named }) => same(named, found.named)).map(({ span }) => rangeIn(text, span));
}

interface PlaceOfName {
  readonly at: string;
  readonly span: Occurrence["span"];
  readonly quoted: boolean;
}

function places(desk: Desk, uri: string, named: Named): PlaceOfName[] {
  const uris = new Set([
    uri,
    ...desk.uris,
    ...desk.family(uri).map((page) => page.uri),
    ...desk.bringing(named.uri),
  ]);
  // A shipped text uses its own names too, but cannot be shown unless it is a file.
  return [...uris]
    .filter((at) => !at.startsWith("shipped:"))
    .flatMap((at) =>
      desk
        .index(at)
        .occurrences.filter((one) => same(one.named, named))
        .map(({ span, quoted }) => ({ at, span, quoted })),
    );
}

function same(a: Named, b: Named): boolean {
  return a.uri === b.uri && a.sort === b.sort && sameSpan(a.span, b.span);
}

function sameSpan(a: Named["span"], b: Named["span"]): boolean {
  return a.line === b.line && a.column === b.column;
}

/** The range that would be renamed; undefined if nothing can be. */
export function renameable(desk: Desk, uri: string, position: Position): Range | undefined {
  const found = occurrenceAt(desk, uri, position);
  if (!found || fixed(found.named)) return undefined;
  return rangeIn(desk.text(uri)!, bare(found));
}

function fixed({ uri }: Named): boolean {
  return (
    uri.startsWith("shipped:") || [...shipped.keys()].some((name) => uri.endsWith(`/blocks/${name}.ramp`))
  );
}

function bare({ span, quoted }: Pick<Occurrence, "span" | "quoted">): Occurrence["span"] {
  return quoted ? { ...span, column: span.column + 1, length: Math.max(0, span.length - 2) } : span;
}

/** Renames what stands at a position: the edits, or why it cannot be done. */
export function rename(desk: Desk, uri: string, position: Position, name: string): WorkspaceEdit | string {
  const found = occurrenceAt(desk, uri, position);
  if (!found) return "no name stands here";
  const { named } = found;
  if (fixed(named)) return `'${named.name}' belongs to a block that ships with the package`;
  const word = name.normalize("NFC");
  if (word === named.name) return { changes: {} };
  if (
    found.quoted
      ? /["\p{Cc}\p{Cs}]/u.test(word) || word.trim() === ""
      : !/^[\p{L}_][\p{L}\p{N}\p{M}_]*$/u.test(word)
  )
    return `'${name}' is no name: ${found.quoted ? "quotes stand in none" : "a letter, then letters and digits"}`;
  const taken = takenBy(desk, uri, named, word);
  if (taken) return `'${word}' is the name of a ${taken} already`;
  const changes: Record<string, TextEdit[]> = {};
  for (const one of places(desk, uri, named)) {
    const text = desk.text(one.at);
    if (text === undefined) return `'${named.name}' stands in ${one.at} too: open it first`;
    changes[one.at] ??= [];
    changes[one.at].push({ range: rangeIn(text, bare(one)), newText: word });
  }
  for (const [at, edits] of Object.entries(changes)) {
    const text = desk.text(at)!;
    if (lost(desk, at, named.name))
      return `'${named.name}' stands in a statement that cannot be read: mend it first`;
    if (
      errors(desk.look(at, edited(text, edits))) > errors(desk.inspect(at)) &&
      Object.keys(changes).length === 1
    )
      return `'${word}' cannot stand everywhere that '${named.name}' does`;
  }
  return { changes };
}

const errors = ({ diagnostics }: ReturnType<Desk["inspect"]>) =>
  diagnostics.filter((one) => one.severity === "error").length;

/** What already has the new name where something is to be renamed. */
function takenBy(desk: Desk, uri: string, named: Named, word: string): NamedSort | "place" | undefined {
  if (named.sort === "block")
    return [uri, ...desk.bringing(named.uri)].flatMap((one) => desk.blocksOf(one).get(word)?.sort ?? [])[0];
  const page = desk.family(uri).find((one) => one.uri === named.uri);
  if (!page) return undefined;
  if (named.sort === "case") return page.cases.get(word)?.sort;
  if (named.sort === "check") return page.checks.get(word)?.sort;
  if (word === "ground") return "place";
  const bodies = [page.top, ...[...page.blocks.values()].map((block) => block.inner!)];
  const home = bodies.find((body) =>
    body.all().some((one) => one === named || sameSpan(one.span, named.span)),
  );
  const clash = [home, ...bodies.filter((body) => body.outer === home)].flatMap((body) => body?.all() ?? []);
  return clash.find((one) => one.name === word)?.sort;
}

/** Whether a name stands in a line that could not be read, so that its meaning is unknown. */
function lost(desk: Desk, uri: string, name: string): boolean {
  const known = new Set(desk.index(uri).occurrences.map(({ span }) => span.line));
  const lines = desk.text(uri)!.split(/\r\n|\n|\r/);
  return desk
    .inspect(uri)
    .diagnostics.some(
      ({ severity, span: { line } }) =>
        severity === "error" && !known.has(line) && wordsOf(lines[line - 1] ?? "").includes(name),
    );
}

function wordsOf(line: string): readonly string[] {
  return line.replace(/#.*/, "").match(/[\p{L}_][\p{L}\p{N}\p{M}_]*/gu) ?? [];
}

/** A text with edits that do not overlap. */
export function edited(text: string, edits: readonly TextEdit[]): string {
  const starts = [0, ...[...text.matchAll(/\r\n|\n|\r/g)].map((end) => end.index + end[0].length)];
  const at = ({ line, character }: Position) => (starts[line] ?? text.length) + character;
  return [...edits]
    .sort((a, b) => at(b.range.start) - at(a.range.start))
    .reduce(
      (whole, { range, newText }) => whole.slice(0, at(range.start)) + newText + whole.slice(at(range.end)),
      text,
    );
}

const kinds: Readonly<Record<NamedSort, SymbolKind>> = {
  value: SymbolKind.Constant,
  supply: SymbolKind.Event,
  signal: SymbolKind.Event,
  part: SymbolKind.Object,
  use: SymbolKind.Module,
  place: SymbolKind.Variable,
  block: SymbolKind.Class,
  case: SymbolKind.Namespace,
  check: SymbolKind.Boolean,
};

/** The outline of a text: a case holds the checks below it, a block its contents. */
export function outline(desk: Desk, uri: string): DocumentSymbol[] {
  const page = desk.page(uri);
  const text = desk.text(uri);
  if (!page || text === undefined) return [];
  const list = (statements: readonly Statement[]): DocumentSymbol[] => {
    const found: DocumentSymbol[] = [];
    let under = found;
    for (const s of statements) {
      const one = symbolOf(s, text, list);
      if (!one) continue;
      if (s.type === "case") {
        found.push(one);
        under = one.children!;
      } else if (s.type === "block") found.push(one);
      else {
        under.push(one);
        // What follows a case extends its range.
        if (under !== found) found.at(-1)!.range.end = one.range.end;
      }
    }
    return found;
  };
  return list(page.tree.statements);
}

function symbolOf(
  s: Statement,
  text: string,
  list: (statements: readonly Statement[]) => DocumentSymbol[],
): DocumentSymbol | undefined {
  if (!("name" in s)) return undefined;
  const { name } = s;
  const sort: NamedSort =
    s.type === "given" ? "value" : s.type === "show" || s.type === "testpoint" ? "check" : s.type;
  return {
    name: name.text.trim() === "" ? '""' : name.text,
    detail: s.type === "part" ? s.kind.text : s.type === "use" ? s.block.text : s.type,
    kind: kinds[sort],
    range: linesOf(text, s),
    selectionRange: rangeIn(text, name.span),
    children: s.type === "block" ? list(s.body) : [],
  };
}
