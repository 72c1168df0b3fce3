// What may be written at a position: words that the parser accepts there, and the names that fit. Takes the text up to the
// position; what follows is ignored, so a statement may be incomplete while it is typed.
import type { IToken } from "chevrotain";
import { Report } from "../base/diagnostic.js";
import { seriesNames } from "../base/series.js";
import { shipped } from "../blocks/shipped.js";
import { changeVerbs } from "../design/cases.js";
import { startWords } from "../design/elaborate.js";
import { patterns } from "../design/videowave.js";
import { syncWords } from "../design/waveform.js";
import type { Kind } from "../parts/contract.js";
import { systems } from "../signals/sync.js";
import { cut, split } from "../syntax/lines.js";
import {
  isName,
  keyword,
  keywords,
  Name,
  Newline,
  Numeral,
  OpenText,
  Text,
  tokenize,
} from "../syntax/tokens.js";
import type { Statement } from "../syntax/tree.js";
import { beginsWave, behindPlaces, type Upcoming, upcoming } from "../syntax/upcoming.js";
import { propertiesAt, takesWord, unitsFor, valuesOf } from "./aspects.js";
import type { Body, Named, Page } from "./named.js";
import {
  type FileSort,
  type NamedTexts,
  type Offer,
  offerOf,
  placeNames,
  type Typed,
  valueNames,
} from "./offers.js";
import { placeAt } from "./positions.js";
import type { Position } from "./protocol.js";

/** What may be written at a position in a line. */
export interface Suggestion extends Offer {
  /** The range it replaces: UTF-16 code units of the line, from `from` up to `to`. */
  readonly from: number;
  readonly to: number;
}

/** What may be written at a position. */
export function suggestions(desk: NamedTexts, uri: string, position: Position): Suggestion[] {
  const text = desk.text(uri);
  const page = desk.page(uri);
  if (text === undefined || !page) return [];
  const { line, column } = placeAt(text, position);
  const source = split(text).slice(0, line);
  const head = (source[line - 1] ?? "").slice(0, column - 1);
  const last = tokenize(head).at(-1);
  if (last && /^#/.test(last.image)) return [];
  if (last?.tokenType === OpenText) {
    const before = tokenize(head).slice(0, -1);
    const offers = inQuotes(before, [...statementOf(source.slice(0, -1), head.slice(0, last.startOffset))], {
      page,
      desk,
    });
    return placed(offers, { from: last.startOffset + 1, to: head.length }, []);
  }
  const partial = /[\p{L}\p{N}\p{M}_]*$/u.exec(head)![0].replace(/^\d[\d.]*/, "");
  const start = head.length - partial.length;
  const tokens = statementOf(source.slice(0, -1), head.slice(0, start));
  const typed = { tokens, body: bodyAt(page, line), page, desk };
  return placed(offersFor(typed), { from: start, to: head.length }, tokens);
}

/** The tokens of the statement that is open at the end of a text. */
function statementOf(before: readonly string[], line: string): readonly IToken[] {
  // A statement spans few lines; those far above cannot belong to it.
  const from = Math.max(0, before.length - 200);
  const near = before.slice(from);
  // A placeholder for the next word, so that a blank line does not end the statement.
  const mark = "zz";
  const lines = [...cut([...near, `${line} ${mark}`], new Report())];
  const tokens = lines.at(-1)?.tokens ?? [];
  const own = tokens.filter(({ tokenType }) => tokenType !== Newline);
  return own.at(-1)?.image === mark && own.at(-1)?.startLine === near.length + 1 ? own.slice(0, -1) : [];
}

function bodyAt(page: Page, line: number): Body {
  for (const { statement, inner } of page.blocks.values())
    if (statement.type === "block" && statement.span.line < line && line <= (statement.end?.line ?? 0))
      return inner!;
  return page.top;
}

function placed(
  offers: readonly Offer[],
  { from, to }: Pick<Suggestion, "from" | "to">,
  tokens: readonly IToken[],
): Suggestion[] {
  const met = new Set<string>();
  return offers.flatMap((offer) => {
    if (met.has(offer.label)) return [];
    met.add(offer.label);
    const { words = 0 } = offer;
    const first = words > 0 ? tokens[tokens.length - words] : undefined;
    const same = first && first.startLine === tokens.at(-1)?.startLine;
    return [{ ...offer, from: same ? first.startColumn! - 1 : from, to }];
  });
}

/** What may be written in the quotes that are open. */
function inQuotes(
  own: readonly IToken[],
  all: readonly IToken[],
  { page, desk }: Pick<Typed, "page" | "desk">,
): Offer[] {
  const [first] = all.length > 0 ? all : own;
  const behind = own.at(-1)?.image;
  const files = (sort: FileSort) =>
    (desk.filesNear?.(page.uri, sort) ?? []).map((label) => fileOffer(label, sort));
  const names = (from: ReadonlyMap<string, Named>, detail: string) =>
    [...from.keys()].map((label): Offer => ({ label, kind: "Value", detail }));
  if (first?.tokenType === keyword.bring)
    return [
      ...files("text"),
      ...[...shipped.keys()].map(
        (name): Offer => ({
          label: `shipped/${name}`,
          kind: "Module",
          detail: "a block that ships with the package",
        }),
      ),
    ];
  if (behind === "picture") return files("picture");
  if (behind === "capture") return first?.tokenType === keyword.check ? heldFiles(page) : files("capture");
  if (first?.tokenType === keyword.find) return names(page.checks, "a check");
  const measures = first?.tokenType === keyword.check || first?.tokenType === keyword.show;
  if (measures && own.at(-1)?.tokenType === keyword.case) return names(page.cases, "a case");
  return [];
}

function fileOffer(label: string, sort: FileSort): Offer {
  return { label, kind: "File", detail: `a ${sort} in the folder of the design` };
}

/** The captures that a text compares with its traces, which checks may name. */
function heldFiles({ tree }: Page): Offer[] {
  return tree.statements.flatMap((s) => (s.type === "capture" ? [fileOffer(s.path.text, "capture")] : []));
}

function offersFor(typed: Typed): Offer[] {
  const { tokens } = typed;
  if (tokens.length > 0 && tokens.at(-1)!.image === ".") return reached(typed);
  return waysOn(typed).flatMap((way) => offersOf(way, typed));
}

/** What the parser takes next. */
function waysOn({ tokens, desk }: Typed): Upcoming[] {
  const kind = tokens.length > 0 ? desk.vocabulary.kind(tokens[0].image) : undefined;
  const at = kind && behindPlaces(tokens);
  if (at === undefined) return upcoming("statement", tokens);
  const rest = tokens.slice(at);
  const comma = rest.findLastIndex(({ image }) => image === ",");
  if (beginsWave(rest)) {
    const inside = upcoming("waveform", rest);
    return comma < 0 || inside.length > 0 ? inside : upcoming("property", rest.slice(comma + 1));
  }
  if (comma >= 0) return upcoming("property", rest.slice(comma + 1));
  const ways = ["property", "value", ...(kind?.value?.wave ? ["waveform"] : [])];
  return ways.flatMap((rule) => upcoming(rule, rest));
}

/** What may follow the dot of a block, a part or a signal (`line.`). */
function reached({ tokens, body, desk, page }: Typed): Offer[] {
  const path: string[] = [];
  for (let at = tokens.length - 2; at >= 0 && isName(tokens[at].tokenType); at -= 2) {
    path.unshift(tokens[at].image);
    if (tokens[at - 1]?.image !== ".") break;
  }
  let inside: Body | undefined = body;
  let part: Named | undefined;
  for (const word of path) {
    part = inside?.parts.get(word);
    const statement: Statement | undefined = part?.statement;
    inside = statement?.type === "use" ? desk.blocksOf(page.uri).get(statement.block.text)?.inner : undefined;
  }
  if (inside) return inside.all().map(offerOf);
  return part ? valuesOf(part, desk) : [];
}

const plain = (words: readonly string[], detail: string): Offer[] =>
  words.map((label): Offer => ({ label, kind: "EnumMember", detail }));

/** What fits where the parser takes a token of some type. */
function offersOf({ type, rules }: Upcoming, typed: Typed): Offer[] {
  const { tokens, body, desk, page } = typed;
  const within = (one: string) => rules.includes(one);
  if (keywords.some((word) => keyword[word] === type)) {
    const [word] = keywords.filter((one) => keyword[one] === type);
    return within("property") && !takesWord(word, typed) ? [] : [{ label: word, kind: "Keyword" as const }];
  }
  const rule = rules.at(-1) ?? "";
  if (rule === "system" && type === Numeral) return plain(systems, "a television system");
  if (type === Text || type !== Name) return [];
  if (rule === "unit") return unitsFor(typed);
  if (tokens.length === 0) {
    // `end` ends a block, and stands in none of the rules of a statement.
    const inBlock = body !== page.top;
    return [
      ...desk.vocabulary.kinds.map(kindOffer),
      ...(inBlock ? [{ label: "end", kind: "Keyword" as const }] : []),
    ];
  }
  if (within("sync") && rule === "name") return plain(syncWords, "sync of a television system");
  if (rules.at(-2) === "video" && rule === "word") return plain(Object.keys(patterns), "a pattern of video");
  if (within("measured") && rule === "word") return measuresFor(typed);
  if (within("change") && rule === "name") return plain(Object.keys(changeVerbs), "what happens to it");
  if (within("unknown") && rule === "word") return plain(seriesNames, "preferred values (IEC 60063)");
  if (within("run") && rule === "word") return plain(startWords, "how the run starts");
  if (within("use") && rule === "name") return usedNames(typed);
  if (within("property") || within("properties")) return propertiesAt(typed, rules);
  if (rule !== "reference") return [];
  if (within("expression")) return [...valueNames(body), ...propertiesAt(typed, rules)];
  const coupled = tokens.length > 0 ? desk.vocabulary.kind(tokens[0].image)?.couples : undefined;
  if (coupled !== undefined) return [...body.parts.values()].map(offerOf);
  if (within("change") || within("unknown"))
    return [...body.values.values(), ...body.parts.values()].map(offerOf);
  return within("measured")
    ? [...placeNames(body), ...[...body.parts.values()].map(offerOf)]
    : placeNames(body);
}

function kindOffer({ word, summary }: Kind): Offer {
  return { label: word, kind: "Class", detail: summary };
}

/** The block of a `use`, or the values that it takes. */
function usedNames({ tokens, desk, page }: Typed): Offer[] {
  const blocks = desk.blocksOf(page.uri);
  if (tokens.length === 1) return [...blocks.values()].map(offerOf);
  const block = blocks.get(tokens[1].image);
  const handing = tokens.some(({ tokenType }) => tokenType === keyword.with);
  return handing ? [...(block?.inner?.values.values() ?? [])].map(offerOf) : [];
}

/** Measures that begin with the words that stand there already. */
function measuresFor({ tokens, desk }: Typed): Offer[] {
  const said = tokens.slice(2).map(({ image }) => image);
  return desk.vocabulary.measures
    .filter(({ words }) => said.every((word, i) => words.split(" ")[i] === word))
    .filter(({ words }) => words.split(" ").length > said.length)
    .map(
      ({ words, summary }): Offer => ({
        label: words,
        kind: "Function",
        detail: summary,
        words: said.length,
      }),
    );
}
