// Writes one statement of the tree as text: its columns, which `layout` aligns with those of its neighbours, and its segments,
// the stretches between commas where a line may break. Read again, the text gives the same statement.
import { expressionText, leads, negative, propertyText, referenceText, valuedText } from "./phrases.js";
import type {
  Change,
  CheckScope,
  Expression,
  LimitClause,
  MeasureClause,
  Property,
  SpanClause,
  Statement,
  StatementOf,
  UnknownClause,
  Waveform,
} from "./tree.js";

/** A stretch between commas, with the physical lines it was written on. */
export interface Segment {
  readonly text: string;
  readonly first: number;
  readonly last: number;
}

/** A statement as text: columns, then segments with commas between. */
export interface Printed {
  readonly columns: readonly string[];
  readonly segments: readonly Segment[];
}

/** A segment, with the lines of the nodes that it was written from. */
function segment(text: string, ...nodes: unknown[]): Segment {
  const lines = { first: Number.POSITIVE_INFINITY, last: 0 };
  for (const node of nodes) stretch(node, lines);
  return { text, ...lines };
}

// Widens `lines` by all spans under a node. Recursion is as deep as the expression, which the reader has limited.
function stretch(node: unknown, lines: { first: number; last: number }): void {
  if (typeof node !== "object" || node === null) return;
  for (const [key, value] of Object.entries(node)) {
    if (key === "span") {
      lines.first = Math.min(lines.first, value.line);
      lines.last = Math.max(lines.last, value.line);
    } else stretch(value, lines);
  }
}

function propertySegments(properties: readonly Property[]): Segment[] {
  return properties.map((one) => segment(propertyText(one), one));
}

/** Writes a statement; for a block only its first line. */
export function print(statement: Statement): Printed {
  const s = statement;
  switch (s.type) {
    case "title":
      return { columns: [], segments: [segment(`title "${s.text}"`, s)] };
    case "bring":
      return { columns: [], segments: [segment(`bring "${s.path.text}"`, s)] };
    case "given":
    case "supply":
      return {
        columns: [s.type, s.name.text],
        segments: [
          segment(`= ${valuedText(s.amount)}`, { ...s, span: { line: s.span.line }, properties: [] }),
          ...propertySegments(s.properties),
        ],
      };
    case "signal": {
      const [head, ...rest] = waveform(s.wave);
      return {
        columns: [s.type, s.name.text],
        segments: [{ ...head, text: `= ${head.text}`, first: Math.min(s.span.line, head.first) }, ...rest],
      };
    }
    case "part":
      return part(s);
    case "block":
      return listed(`block ${s.name.text}`, s.name, [
        ["joins", s.places.map((place) => segment(place.text, place))],
      ]);
    case "use":
      return listed(
        `use ${s.block.text} as ${s.name.text}`,
        [s.block, s.name],
        [
          ["joins", s.places.map((place) => segment(referenceText(place), place))],
          ["with", s.values.map((one) => segment(`${one.name.text} ${valuedText(one.amount)}`, one))],
        ],
      );
    case "run": {
      const head = segment(`run for ${expressionText(s.length)}`, s.length);
      return { columns: [], segments: s.start ? [head, segment(`from ${s.start.text}`, s.start)] : [head] };
    }
    case "case": {
      const changes = s.changes.flatMap(change);
      return listed(`case "${s.name.text}"`, s.name, [["", changes]]);
    }
    case "check":
      return { columns: [`check "${s.name.text}"`], segments: [segment(check(s), s)] };
    case "show":
      return {
        columns: [`show "${s.name.text}"`],
        segments: [segment([...measured(s), ...scope(s)].join(" "), s)],
      };
    case "capture": {
      const where = s.scope ? ` in case "${s.scope.text}"` : "";
      const head = `capture "${s.path.text}" of ${referenceText(s.of)}${where}`;
      return {
        columns: [],
        segments: [segment(head, s.path, s.of, s.scope), ...propertySegments(s.properties)],
      };
    }
    case "find":
      return listed(
        "find",
        [],
        [
          ["", s.unknowns.map((one) => segment(unknown(one), one))],
          ["for", s.goals.map((goal) => segment(`"${goal.text}"`, goal))],
        ],
      );
    case "reading":
      return { columns: [`reading "${s.phrase.text}"`], segments: [segment(reading(s), s)] };
    case "testpoint":
      return { columns: [`testpoint "${s.name.text}"`], segments: [segment(`at ${referenceText(s.of)}`, s)] };
  }
}

// A head, then lists that each begin with a word. The first item of a list joins the segment before it.
function listed(head: string, node: unknown, lists: readonly [string, readonly Segment[]][]): Printed {
  const segments: Segment[] = [segment(head, { node })];
  for (const [word, items] of lists) {
    if (items.length === 0) continue;
    const before = segments.pop()!;
    const [first, ...rest] = items;
    segments.push({
      text: [before.text, word, first.text].filter((text) => text !== "").join(" "),
      first: Math.min(before.first, first.first),
      last: Math.max(before.last, first.last),
    });
    for (const item of rest) segments.push(item);
  }
  return { columns: [], segments };
}

function part(s: StatementOf<"part">): Printed {
  const columns = [s.kind.text, s.name.text, `${referenceText(s.tail)} -> ${referenceText(s.head)}`];
  const own = [s.kind, s.name, s.tail, s.head];
  const properties = propertySegments(s.properties);
  if (s.amount) {
    const text = valuedText(s.amount, (e) => leads(e, "pulse", "sine", "path", "noise") && e.type !== "name");
    return { columns, segments: [segment(text, own, s.amount), ...properties] };
  }
  if (s.wave) {
    const [head, ...rest] = waveform(s.wave);
    const { first, last } = segment("", own);
    const lines = { first: Math.min(first, head.first), last: Math.max(last, head.last) };
    return { columns, segments: [{ text: head.text, ...lines }, ...rest, ...properties] };
  }
  const [first, ...rest] = s.properties;
  if (!first || !opens(first)) return { columns, segments: [segment("", own), ...properties] };
  // Directly after the places, a word and a minus would be read as a difference.
  const text = propertyText(first, (e) => leads(e, "sync") || negative(e));
  return { columns, segments: [segment(text, own, first), ...propertySegments(rest)] };
}

// Directly after the places a lone word would be read as a value, and a waveform's word as its start: a comma prevents it.
function opens({ word, value }: Property): boolean {
  return value.type !== "bare" && !["pulse", "sine", "path", "noise", "video"].includes(word.text);
}

function waveform(wave: Waveform): Segment[] {
  const range = (low: Expression, high: Expression) =>
    `${expressionText(low, 0, (e) => leads(e, "sync"))} to ${expressionText(high)}`;
  switch (wave.type) {
    case "pulse":
    case "sine":
      return [
        segment(`${wave.type} ${range(wave.low, wave.high)}`, wave.low, wave.high),
        ...propertySegments(wave.properties),
      ];
    case "sync":
      return [
        segment(`${wave.which.text} sync of ${wave.system.text}`, wave.which, wave.system),
        segment(`${expressionText(wave.low)} to ${expressionText(wave.high)}`, wave.low, wave.high),
        ...propertySegments(wave.properties),
      ];
    case "video": {
      const { pattern, picture } = wave;
      const shown = picture ? `${pattern.text} "${picture.text}"` : pattern.text;
      return [
        segment(`video of ${wave.system.text}`, wave.system),
        segment(shown, pattern, picture),
        ...propertySegments(wave.properties),
      ];
    }
    case "capture":
      return [segment(`capture "${wave.path.text}"`, wave.path), ...propertySegments(wave.properties)];
    case "noise":
      return [
        segment(`noise ${expressionText(wave.size, 0, (e) => leads(e, "sync"))}`, wave.size),
        ...propertySegments(wave.properties),
      ];
    case "path": {
      const points = wave.points.map((one) => {
        const level = expressionText(one.level, 0, (e) => leads(e, "sync"));
        return segment(`${level} at ${expressionText(one.time)}`, one.level, one.time);
      });
      const [first, ...rest] = points;
      // Among points, a word followed by a sign or `at` would be read as a point.
      const properties = wave.properties.map((one) =>
        segment(
          propertyText(one, (e) => negative(e) || leads(e, "at")),
          one,
        ),
      );
      return [{ ...first, text: `path ${first.text}` }, ...rest, ...properties];
    }
  }
}

function change(one: Change): Segment[] {
  const words = [referenceText(one.target), one.verb.text];
  if (one.wave) {
    const [head, ...rest] = waveform(one.wave);
    return [{ ...head, text: [...words, head.text].join(" ") }, ...rest];
  }
  if (one.amount) words.push(valuedText(one.amount, (e) => leads(e, "at", "pulse", "sine", "path", "noise")));
  if (one.at) words.push("at", expressionText(one.at));
  return [segment(words.join(" "), one)];
}

function check(s: StatementOf<"check">): string {
  return [...measured(s), limit(s.limit), ...scope(s)].join(" ");
}

function measured(s: MeasureClause): string[] {
  const words = [...s.measure.map((one) => one.text), "of", referenceText(s.target)];
  if (s.at) words.push("at", expressionText(s.at));
  if (s.through) {
    if (s.through.direction) words.push(s.through.direction.text);
    words.push("through", expressionText(s.through.level));
  }
  words.push(...window(s.window));
  return words;
}

function reading(s: StatementOf<"reading">): string {
  return [valuedText(s.amount), ...scope(s)].join(" ");
}

function scope({ scope: one }: { readonly scope?: CheckScope }): string[] {
  if (!one) return [];
  if (one.type === "every") return ["in every case"];
  if (one.type === "case") return [`in case "${one.name.text}"`];
  return [one.path ? `in capture "${one.path.text}"` : "in capture"];
}

function unknown(one: UnknownClause): string {
  const words = [referenceText(one.target), "from", expressionText(one.from), "to", expressionText(one.to)];
  if (one.series) words.push("in", one.series.text);
  return words.join(" ");
}

function window(clause: SpanClause): string[] {
  const words: string[] = [];
  if (clause.each) words.push("each", referenceText(clause.each));
  const { within, after, before } = clause;
  if (within) words.push("from", expressionText(within.from), "to", expressionText(within.to));
  // After `each`, `from A to B` would count from the start of each period.
  if (after && before && !clause.each)
    words.push("from", expressionText(after), "to", expressionText(before));
  else {
    if (after) words.push("after", expressionText(after));
    if (before) words.push("before", expressionText(before));
  }
  return words;
}

function limit(one: LimitClause): string {
  if (one.type === "is") return `is ${valuedText(one.amount)}`;
  if (one.type === "between") return `between ${expressionText(one.low)} and ${expressionText(one.high)}`;
  return `${one.type} ${expressionText(one.level)}`;
}
