// Writes one statement of the tree as text. Takes a statement; gives its columns (aligned with its neighbours by
// `format`) and its segments, the stretches between commas where a line may break. What always holds: read again,
// the text gives the same statement; brackets stand only where they decide something.
import type {
  Change,
  Expression,
  LimitClause,
  Property,
  PropertyValue,
  Reference,
  SpanClause,
  Statement,
  ToleranceClause,
  UnknownClause,
  Valued,
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

/** A segment of the nodes it was written from. */
function segment(text: string, ...nodes: unknown[]): Segment {
  const lines = { first: Number.POSITIVE_INFINITY, last: 0 };
  for (const node of nodes) stretch(node, lines);
  return { text, ...lines };
}

// Lines of all spans under a node. Depth is that of the expression, which the reader has limited.
function stretch(node: unknown, lines: { first: number; last: number }): void {
  if (typeof node !== "object" || node === null) return;
  for (const [key, value] of Object.entries(node)) {
    if (key === "span") {
      lines.first = Math.min(lines.first, value.line);
      lines.last = Math.max(lines.last, value.line);
    } else stretch(value, lines);
  }
}

/** Writes a statement; of a block only its first line. */
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
          segment(`= ${valued(s.amount)}`, { ...s, span: { line: s.span.line }, properties: [] }),
          ...s.properties.map((one) => segment(property(one), one)),
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
          ["joins", s.places.map((place) => segment(reference(place), place))],
          ["with", s.values.map((one) => segment(`${one.name.text} ${valued(one.amount)}`, one))],
        ],
      );
    case "run": {
      const head = segment(`run for ${expression(s.length)}`, s.length);
      return { columns: [], segments: s.start ? [head, segment(`from ${s.start.text}`, s.start)] : [head] };
    }
    case "case": {
      const changes = s.changes.flatMap(change);
      return listed(`case "${s.name.text}"`, s.name, [["", changes]]);
    }
    case "check":
      return { columns: [`check "${s.name.text}"`], segments: [segment(check(s), s)] };
    case "find":
      return listed(
        "find",
        [],
        [
          ["", s.unknowns.map((one) => segment(unknown(one), one))],
          ["for", s.goals.map((goal) => segment(`"${goal.text}"`, goal))],
        ],
      );
  }
}

// A head, then lists that each begin with a word: the first item of a list stands on the segment before it.
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

function part(s: Extract<Statement, { type: "part" }>): Printed {
  const columns = [s.kind.text, s.name.text, `${reference(s.tail)} -> ${reference(s.head)}`];
  const own = [s.kind, s.name, s.tail, s.head];
  const more: Segment[] = [];
  let text = "";
  const nodes: unknown[] = [...own];
  if (s.amount) {
    text = valued(s.amount, (e) => leads(e, "pulse", "sine", "path", "noise") && e.type !== "name");
    nodes.push(s.amount);
  } else if (s.wave) {
    const [head, ...rest] = waveform(s.wave);
    text = head.text;
    const { first, last } = segment("", own);
    return {
      columns,
      segments: [
        { text, first: Math.min(first, head.first), last: Math.max(last, head.last) },
        ...rest,
        ...s.properties.map((one) => segment(property(one), one)),
      ],
    };
  }
  const [first, ...rest] = s.properties;
  if (first && !s.amount && !opens(first)) {
    for (const one of s.properties) more.push(segment(property(one), one));
    return { columns, segments: [segment("", own), ...more] };
  }
  if (first && !s.amount) {
    // Directly behind the places a word and a minus would be read as a difference.
    text = property(first, (e) => leads(e, "sync") || negative(e));
    nodes.push(first);
  } else if (first) more.push(segment(property(first), first));
  for (const one of rest) more.push(segment(property(one), one));
  return { columns, segments: [segment(text, nodes), ...more] };
}

// Directly behind the places a lone word is a value, and the word of a waveform begins one; a comma settles it.
function opens({ word, value }: Property): boolean {
  return value.type !== "bare" && !["pulse", "sine", "path", "noise", "video"].includes(word.text);
}

function waveform(wave: Waveform): Segment[] {
  const range = (low: Expression, high: Expression) =>
    `${expression(low, 0, (e) => leads(e, "sync"))} to ${expression(high)}`;
  switch (wave.type) {
    case "pulse":
    case "sine":
      return [
        segment(`${wave.type} ${range(wave.low, wave.high)}`, wave.low, wave.high),
        ...wave.properties.map((one) => segment(property(one), one)),
      ];
    case "sync":
      return [
        segment(`${wave.which.text} sync of ${wave.system.text}`, wave.which, wave.system),
        segment(`${expression(wave.low)} to ${expression(wave.high)}`, wave.low, wave.high),
        ...wave.properties.map((one) => segment(property(one), one)),
      ];
    case "video": {
      const { pattern, picture } = wave;
      const shown = picture ? `${pattern.text} "${picture.text}"` : pattern.text;
      return [
        segment(`video of ${wave.system.text}`, wave.system),
        segment(shown, pattern, picture),
        ...wave.properties.map((one) => segment(property(one), one)),
      ];
    }
    case "noise":
      return [
        segment(`noise ${expression(wave.size, 0, (e) => leads(e, "sync"))}`, wave.size),
        ...wave.properties.map((one) => segment(property(one), one)),
      ];
    case "path": {
      const points = wave.points.map((one) => {
        const level = expression(one.level, 0, (e) => leads(e, "sync"));
        return segment(`${level} at ${expression(one.time)}`, one.level, one.time);
      });
      const [first, ...rest] = points;
      // Among points a word with a sign or `at` behind it would be read as a point.
      const properties = wave.properties.map((one) =>
        segment(
          property(one, (e) => negative(e) || leads(e, "at")),
          one,
        ),
      );
      return [{ ...first, text: `path ${first.text}` }, ...rest, ...properties];
    }
  }
}

type Doubt = (e: Expression) => boolean;

function property(one: Property, doubt: Doubt = () => false): string {
  const value = propertyValue(one.value, doubt);
  return value === "" ? one.word.text : `${one.word.text} ${value}`;
}

function propertyValue(value: PropertyValue, doubt: Doubt): string {
  switch (value.type) {
    case "amount": {
      // With something behind it the word begins a condition or times.
      const more = value.how?.text ?? (value.at && `at ${expression(value.at)}`);
      const followed = more !== undefined && !value.amount.tolerance;
      const clause: Doubt = (e) =>
        (e.type !== "name" || followed) && leads(e, "while", "from", "after", "before");
      if (more === undefined) return valued(value.amount, (e) => doubt(e) || clause(e));
      // A word behind a number is its unit, so a number without one needs its brackets.
      const { value: e, tolerance } = value.amount;
      const text = expression(e, 0, (e) => doubt(e) || clause(e) || (!tolerance && unitless(e)));
      const margin = tolerance ? ` ${toleranceText(tolerance, unitless)}` : "";
      return `${text}${margin} ${more}`;
    }
    case "while":
      return `while ${reference(value.place)} ${value.side} ${expression(value.level)}`;
    case "times":
      if (value.from && value.to) return `from ${expression(value.from)} to ${expression(value.to)}`;
      return value.from ? `after ${expression(value.from)}` : `before ${expression(value.to!)}`;
    case "bare":
      return "";
  }
}

function change(one: Change): Segment[] {
  const words = [reference(one.target), one.verb.text];
  if (one.wave) {
    const [head, ...rest] = waveform(one.wave);
    return [{ ...head, text: [...words, head.text].join(" ") }, ...rest];
  }
  if (one.amount) words.push(valued(one.amount, (e) => leads(e, "at", "pulse", "sine", "path", "noise")));
  if (one.at) words.push("at", expression(one.at));
  return [segment(words.join(" "), one)];
}

function check(s: Extract<Statement, { type: "check" }>): string {
  const words = [...s.measure.map((one) => one.text), "of", reference(s.target)];
  if (s.at) words.push("at", expression(s.at));
  if (s.through) {
    if (s.through.direction) words.push(s.through.direction.text);
    words.push("through", expression(s.through.level));
  }
  words.push(...window(s.window), limit(s.limit));
  if (s.scope) words.push(s.scope.type === "every" ? "in every case" : `in case "${s.scope.name.text}"`);
  return words.join(" ");
}

function unknown(one: UnknownClause): string {
  const words = [reference(one.target), "from", expression(one.from), "to", expression(one.to)];
  if (one.series) words.push("in", one.series.text);
  return words.join(" ");
}

function window(clause: SpanClause): string[] {
  const words: string[] = [];
  if (clause.each) words.push("each", reference(clause.each));
  const { within, after, before } = clause;
  if (within) words.push("from", expression(within.from), "to", expression(within.to));
  // With `each` before it, `from A to B` would count from the start of each period.
  if (after && before && !clause.each) words.push("from", expression(after), "to", expression(before));
  else {
    if (after) words.push("after", expression(after));
    if (before) words.push("before", expression(before));
  }
  return words;
}

function limit(one: LimitClause): string {
  if (one.type === "is") return `is ${valued(one.amount)}`;
  if (one.type === "between") return `between ${expression(one.low)} and ${expression(one.high)}`;
  return `${one.type} ${expression(one.level)}`;
}

function reference(one: Reference): string {
  return one.path.map((word) => word.text).join(".");
}

function valued(amount: Valued, doubt: Doubt = () => false): string {
  const value = expression(amount.value, 0, doubt);
  return amount.tolerance ? `${value} ${toleranceText(amount.tolerance)}` : value;
}

function toleranceText(one: ToleranceClause, doubt: Doubt = () => false): string {
  if (expression(one.below) === expression(one.above)) return `+- ${expression(one.above, 0, doubt)}`;
  return `-${expression(one.below, 4)} / +${expression(one.above, 4, doubt)}`;
}

// How tightly an expression binds: sums 1, products 2, a minus in front 3, all else 4.
function binding(e: Expression): number {
  if (e.type === "binary") return e.operator === "+" || e.operator === "-" ? 1 : 2;
  return e.type === "negative" ? 3 : 4;
}

/** An expression, in brackets where it binds less tightly than asked for or might be read as something else. */
function expression(e: Expression, least = 0, doubt: Doubt = () => false): string {
  const text = bare(e);
  return binding(e) < least || doubt(e) ? `(${text})` : text;
}

function bare(e: Expression): string {
  switch (e.type) {
    case "number":
      return `${e.digits.text}${e.unit ? ` ${e.unit.text}` : ""}${e.per ? `/${e.per.text}` : ""}`;
    case "name":
      return reference(e.reference);
    case "negative":
      return `-${expression(e.of, 4)}`;
    case "binary": {
      const own = binding(e);
      return `${expression(e.left, own)} ${e.operator} ${expression(e.right, own + 1)}`;
    }
  }
}

// The leaf an expression begins with when written; brackets in front of it settle every doubt.
function start(e: Expression): Expression {
  let at = e;
  while (at.type === "binary" && binding(at.left) >= binding(at)) at = at.left;
  return at;
}

function leads(e: Expression, ...words: string[]): boolean {
  const leaf = start(e);
  return leaf.type === "name" && words.includes(leaf.reference.path[0].text);
}

/** Whether it ends in a number without a unit when written. */
function unitless(e: Expression): boolean {
  let at = e;
  for (;;) {
    if (at.type === "negative" && binding(at.of) >= 4) at = at.of;
    else if (at.type === "binary" && binding(at.right) > binding(at)) at = at.right;
    else return at.type === "number" && !at.unit;
  }
}

function negative(e: Expression): boolean {
  return start(e).type === "negative";
}
