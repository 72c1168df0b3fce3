// What hovering over a word shows: for a name, its value with range and unit, or what it is made of; for a word of the
// language, what it means. Values come from the design as it compiles now; a text with mistakes shows only what is written.

import { nameOf, unitOf } from "../base/dimension.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { engineering, readLetterCode, readUnit } from "../base/quantity.js";
import type { Amount, Design } from "../design/design.js";
import { spreadWords } from "../design/spreading.js";
import { patterns, wordsOf } from "../design/videowave.js";
import { forms } from "../design/waveform.js";
import type { Kind } from "../parts/contract.js";
import { rangeText } from "../parts/range.js";
import { expressionText, valuedText } from "../syntax/phrases.js";
import type { StatementOf, Waveform } from "../syntax/tree.js";
import type { Desk } from "./desk.js";
import type { Named } from "./named.js";
import { occurrenceAt } from "./navigation.js";
import type { Mention, Occurrence } from "./occurrences.js";
import { foundAt, placeAt, rangeIn } from "./positions.js";
import type { Hover, Position } from "./protocol.js";

/** What is shown about the word at a position. */
export function hover(desk: Desk, uri: string, position: Position): Hover | undefined {
  const text = desk.text(uri);
  if (text === undefined) return undefined;
  const found = occurrenceAt(desk, uri, position);
  const mention = found ? undefined : foundAt(desk.index(uri).mentions, placeAt(text, position));
  const { design } = desk.inspect(uri);
  const lines = found ? aboutName(found, desk, uri, design) : mention ? aboutWord(mention, desk, design) : [];
  const span = (found ?? mention)?.span;
  if (lines.length === 0 || !span) return undefined;
  return { contents: { kind: "markdown", value: lines.join("\n\n") }, range: rangeIn(text, span) };
}

/** A value with the range of its tolerance: `15 nF, 14.25 nF to 15.75 nF: a capacitance`. */
function amountText({ value, low, high, dimension }: Amount): string {
  const shown = (x: Fraction) => engineering(toNumber(x), unitOf(dimension), 6);
  const range = low.equals(high) ? "" : `, ${shown(low)} to ${shown(high)}`;
  return `${shown(value)}${range}: ${nameOf(dimension)}`;
}

function aboutName(
  { named, full }: Occurrence,
  desk: Desk,
  uri: string,
  design: Design | undefined,
): string[] {
  const { sort, name, statement: s } = named;
  const part = full === undefined ? undefined : design?.parts.find((one) => one.name === full);
  switch (sort) {
    case "value": {
      const now = full === undefined ? undefined : design?.givens.get(full);
      const written = s.type === "given" ? valuedText(s.amount) : "";
      return [code(`given ${name} = ${written}`), ...(now ? [amountText(now)] : [])];
    }
    case "supply":
    case "signal": {
      const head = s.type === "supply" ? `supply ${name} = ${valuedText(s.amount)}` : `signal ${name}`;
      const wave = s.type === "signal" ? [waveText(s.wave)] : [];
      return [
        code(head),
        ...wave,
        ...(part?.value ? [amountText(part.value)] : []),
        ...places(named, desk, uri),
      ];
    }
    case "part":
      return s.type === "part" ? aboutPart(s, named, desk, part?.value) : [];
    case "use":
    case "block":
      return aboutBlock(s.type === "use" ? desk.blocksOf(uri).get(s.block.text) : named, desk);
    case "place":
      return [code(`place ${name}`), ...places(named, desk, uri)];
    case "case":
      return [code(`case "${name}"`)];
    case "check":
      return s.type === "check" ? [code(`check "${name}"`), ...measureText(s, desk)] : [];
  }
}

function aboutPart(s: StatementOf<"part">, { name }: Named, desk: Desk, value: Amount | undefined): string[] {
  const kind = desk.vocabulary.kind(s.kind.text);
  const written = s.amount ? ` ${valuedText(s.amount)}` : "";
  const ends = `${s.tail.path.map((w) => w.text).join(".")} -> ${s.head.path.map((w) => w.text).join(".")}`;
  return [
    code(`${s.kind.text} ${name} ${ends}${written}`),
    ...(value ? [amountText(value)] : []),
    ...(kind ? [kind.summary] : []),
  ];
}

/** The places that a block joins, its values, and the comment above it. */
function aboutBlock(block: Named | undefined, desk: Desk): string[] {
  const s = block?.statement;
  if (s?.type !== "block") return [];
  const head = s.places.length > 0 ? ` joins ${s.places.map((one) => one.text).join(", ")}` : "";
  const givens = s.body.flatMap((one) =>
    one.type === "given" ? [`given ${one.name.text} = ${valuedText(one.amount)}`] : [],
  );
  const comments = new Map(desk.page(block!.uri)?.tree.comments.map((one) => [one.span.line, one]) ?? []);
  const above: string[] = [];
  for (let line = s.span.line - 1; comments.get(line)?.alone; line--)
    above.unshift(comments.get(line)!.text.replace(/^#\s*/, ""));
  return [
    code([`block ${s.name.text}${head}`, ...givens.map((one) => `  ${one}`)].join("\n")),
    above.join(" "),
  ].filter((one) => one !== "");
}

/** The parts that join a place. */
function places({ name, uri: home }: Named, desk: Desk, uri: string): string[] {
  const page = home === uri ? desk.page(uri) : undefined;
  if (!page) return [];
  const joined = [...page.top.parts.values()].filter(({ statement: s }) => {
    if (s.type === "use") return s.places.some((one) => one.path.length === 1 && one.path[0].text === name);
    return (
      s.type === "part" && [s.tail, s.head].some((one) => one.path.length === 1 && one.path[0].text === name)
    );
  });
  return joined.length === 0
    ? []
    : [
        `joined by ${joined
          .slice(0, 12)
          .map((one) => `\`${one.name}\``)
          .join(", ")}`,
      ];
}

function waveText(wave: Waveform): string {
  if (wave.type === "sync") return `${wave.which.text} sync of ${wave.system.text}`;
  return wave.type === "video" ? `video of ${wave.system.text}, ${wave.pattern.text}` : wave.type;
}

function measureText(s: StatementOf<"check">, desk: Desk): string[] {
  const words = s.measure.map((one) => one.text).join(" ");
  const summary = desk.vocabulary.measure(words)?.summary;
  return summary === undefined ? [] : [`${words}: ${summary}`];
}

function aboutWord(mention: Mention, desk: Desk, design: Design | undefined): string[] {
  switch (mention.about) {
    case "kind":
      return aboutKind(mention.kind);
    case "property":
      return aboutProperty(mention, design);
    case "measure": {
      const measure = desk.vocabulary.measure(mention.words);
      return measure
        ? [code(measure.words), `${measure.summary}${measure.needs ? `; needs \`${measure.needs}\`` : ""}`]
        : [];
    }
    case "pattern": {
      const known = Object.hasOwn(patterns, mention.words) ? patterns[mention.words] : undefined;
      return known ? [code(mention.words), known.summary] : [];
    }
    case "unit": {
      const unit = readUnit(mention.unit);
      return unit ? [`${mention.unit}: ${nameOf(unit.dimension)}`] : [];
    }
    case "number": {
      const { value } = mention;
      const letters = value.type === "number" && !value.unit ? readLetterCode(value.digits.text) : undefined;
      const shown = letters ? ` = ${engineering(toNumber(letters.value), unitOf(letters.dimension), 6)}` : "";
      return [`${expressionText(value)}${shown}`];
    }
  }
}

function aboutKind({ word, summary, value, equations }: Kind): string[] {
  const taken = value ? [`takes ${nameOf(value.dimension)}, ${rangeText[value.range]}`] : [];
  return [code(word), summary, ...taken, equations.map((line) => `- ${line}`).join("\n")];
}

function aboutProperty(
  { word, of, part }: Mention & { about: "property" },
  design: Design | undefined,
): string[] {
  if ("type" in of) {
    const words = of.type === "video" ? { ...forms.video, ...wordsOf(of) } : forms[of.type];
    const known = Object.hasOwn(words, word) ? words[word] : undefined;
    if (!known) return [];
    const { takes: wanted } = known;
    const named = typeof wanted === "object" ? nameOf(wanted) : `a ${wanted}`;
    const takes = wanted === "nothing" ? "stands alone" : `takes ${named}`;
    return [code(word), known.summary, known.range ? `${takes}, ${rangeText[known.range]}` : takes];
  }
  const known = of.properties.find((one) => one.word === word);
  if (!known) return Object.hasOwn(spreadWords, word) ? [code(word), spreadWords[word].summary] : [];
  const { takes, range } = known;
  const taken = typeof takes === "object" ? [`takes ${nameOf(takes)}, ${rangeText[range ?? "any"]}`] : [];
  const now =
    part === undefined ? undefined : design?.parts.find((one) => one.name === part)?.amounts.get(word);
  return [code(word), known.summary, ...taken, ...(now ? [`here ${amountText(now)}`] : [])];
}

const code = (text: string) => `\`\`\`ramp\n${text}\n\`\`\``;
