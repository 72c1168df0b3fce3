// What a text mentions and where: every place where a name stands, with what it stands for, and every word of the language that
// hovering can explain. Takes the names of the text and of those that it brings.
import type { Span } from "../base/span.js";
import type { Vocabulary } from "../design/vocabulary.js";
import type { Kind } from "../parts/contract.js";
import { statementKinds } from "../parts/kinds.js";
import { readPhrase } from "../syntax/phrase.js";
import type {
  Expression,
  MeasureClause,
  Property,
  Reference,
  Statement,
  StatementOf,
  Title,
  Valued,
  Waveform,
  Word,
} from "../syntax/tree.js";
import { type Body, type Named, type Page, placeProperty } from "./named.js";

/** A place where a name stands. */
export interface Occurrence {
  readonly named: Named;
  readonly span: Span;
  /** Whether the span includes quotes. */
  readonly quoted: boolean;
  /** Its full name in the design, `line.hold`; absent in a block. */
  readonly full?: string;
}

/** A word of the language that hovering can explain. */
export type Mention = { readonly span: Span } & (
  | { readonly about: "kind"; readonly kind: Kind }
  | {
      readonly about: "property";
      readonly word: string;
      readonly of: Kind | Waveform;
      readonly part?: string;
    }
  | { readonly about: "measure"; readonly words: string }
  | { readonly about: "pattern"; readonly words: string }
  | { readonly about: "number"; readonly value: Expression }
  | { readonly about: "unit"; readonly unit: string }
);

/** All mentions of one text. */
export interface Index {
  readonly occurrences: readonly Occurrence[];
  readonly mentions: readonly Mention[];
}

type Find = (body: Body, name: string) => Named | undefined;
const place: Find = (body, name) => body.place(name);
const part: Find = (body, name) => body.parts.get(name);
const value: Find = (body, name) => body.value(name);
const placeOrPart: Find = (body, name) => place(body, name) ?? part(body, name);
const partOrPlace: Find = (body, name) => part(body, name) ?? place(body, name);
const settable: Find = (body, name) => value(body, name) ?? part(body, name);
const anything: Find = (body, name) => value(body, name) ?? partOrPlace(body, name);

/**
 * What a text mentions, and where.
 * @param blockOf finds a block in the text or in what it brings
 */
export function indexOf(
  page: Page,
  blockOf: (name: string) => Named | undefined,
  vocabulary: Vocabulary,
): Index {
  const reader = new Indexing(page, blockOf, vocabulary);
  reader.statements(page.tree.statements, page.top, "");
  return reader;
}

class Indexing implements Index {
  readonly occurrences: Occurrence[] = [];
  readonly mentions: Mention[] = [];

  constructor(
    private readonly page: Page,
    private readonly blockOf: (name: string) => Named | undefined,
    private readonly vocabulary: Vocabulary,
  ) {}

  /** @param prefix what full names begin with; undefined in a block, which may be used under several */
  statements(statements: readonly Statement[], body: Body, prefix: string | undefined): void {
    for (const s of statements) this.statement(s, body, prefix);
  }

  private statement(s: Statement, body: Body, prefix: string | undefined): void {
    switch (s.type) {
      case "given":
        this.note(body.values.get(s.name.text), s.name.span, prefix);
        this.valued(s.amount, body, prefix);
        this.properties(s.properties, undefined, undefined, body, prefix);
        return;
      case "supply":
        this.note(body.parts.get(s.name.text), s.name.span, prefix);
        this.valued(s.amount, body, prefix);
        this.properties(s.properties, statementKinds[0], s.name.text, body, prefix);
        return;
      case "signal":
        this.note(body.parts.get(s.name.text), s.name.span, prefix);
        this.wave(s.wave, body, prefix);
        return;
      case "part":
        this.part(s, body, prefix);
        return;
      case "block": {
        const named = this.page.blocks.get(s.name.text);
        this.note(named, s.name.span);
        const inner = named?.inner;
        if (!inner || named.statement !== s) return;
        for (const one of s.places) this.note(inner.places.get(one.text), one.span);
        this.statements(s.body, inner, undefined);
        return;
      }
      case "use": {
        const block = this.blockOf(s.block.text);
        this.note(block, s.block.span);
        this.note(body.parts.get(s.name.text), s.name.span, prefix);
        for (const one of s.places) this.reference(one, body, prefix, place);
        for (const { name, amount } of s.values) {
          this.note(block?.inner?.values.get(name.text), name.span);
          this.valued(amount, body, prefix);
        }
        return;
      }
      case "run":
        this.expression(s.length, body, prefix);
        return;
      case "case":
        this.title(this.page.cases.get(s.name.text), s.name);
        for (const one of s.changes) {
          this.reference(one.target, body, prefix, settable);
          this.valued(one.amount, body, prefix);
          this.expression(one.at, body, prefix);
          if (one.wave) this.wave(one.wave, body, prefix);
        }
        return;
      case "check":
        this.title(this.page.checks.get(s.name.text), s.name);
        this.measured(s, body, prefix);
        if (s.limit.type === "is") this.valued(s.limit.amount, body, prefix);
        else if (s.limit.type === "between") {
          this.expression(s.limit.low, body, prefix);
          this.expression(s.limit.high, body, prefix);
        } else this.expression(s.limit.level, body, prefix);
        if (s.scope?.type === "case") this.title(this.page.cases.get(s.scope.name.text), s.scope.name);
        return;
      case "show":
      case "capture":
      case "reading":
      case "testpoint":
        this.looked(s, body, prefix);
        return;
      case "find":
        for (const one of s.unknowns) {
          this.reference(one.target, body, prefix, settable);
          this.expression(one.from, body, prefix);
          this.expression(one.to, body, prefix);
        }
        for (const goal of s.goals) this.title(this.page.checks.get(goal.text), goal);
        return;
    }
  }

  /** Statements that demand nothing of a run: figures, captures compared with traces, readings, and test points. */
  private looked(
    s: StatementOf<"show" | "capture" | "reading" | "testpoint">,
    body: Body,
    prefix: string | undefined,
  ): void {
    if (s.type === "testpoint") this.reference(s.of, body, prefix, placeOrPart);
    else if (s.type === "capture") {
      this.reference(s.of, body, prefix, placeOrPart);
      this.properties(s.properties, undefined, undefined, body, prefix);
      if (s.scope) this.title(this.page.cases.get(s.scope.text), s.scope);
    } else {
      if (s.type === "show") this.measured(s, body, prefix);
      else {
        this.phrase(s.phrase, body, prefix);
        this.valued(s.amount, body, prefix);
      }
      if (s.scope?.type === "case") this.title(this.page.cases.get(s.scope.name.text), s.scope.name);
    }
  }

  private part(s: StatementOf<"part">, body: Body, prefix: string | undefined): void {
    const kind = this.vocabulary.kind(s.kind.text);
    if (kind) this.mentions.push({ span: s.kind.span, about: "kind", kind });
    this.note(body.parts.get(s.name.text), s.name.span, prefix);
    for (const end of [s.tail, s.head]) this.reference(end, body, prefix, kind?.couples ? part : place);
    this.valued(s.amount, body, prefix);
    if (s.wave) this.wave(s.wave, body, prefix);
    this.properties(s.properties, kind, s.name.text, body, prefix);
  }

  private properties(
    properties: readonly Property[],
    kind: Kind | undefined,
    part: string | undefined,
    body: Body,
    prefix: string | undefined,
  ): void {
    for (const p of properties) {
      const full = part !== undefined && prefix !== undefined ? prefix + part : undefined;
      if (kind)
        this.mentions.push({ span: p.word.span, about: "property", word: p.word.text, of: kind, part: full });
      const joined = placeProperty(p, kind);
      if (joined) this.reference(joined, body, prefix, place);
      else this.property(p, body, prefix);
    }
  }

  private property({ word, value: said }: Property, body: Body, prefix: string | undefined): void {
    if (said.type === "while") {
      this.reference(said.place, body, prefix, place);
      this.expression(said.level, body, prefix);
    } else if (said.type === "times") {
      this.expression(said.from, body, prefix);
      this.expression(said.to, body, prefix);
    } else if (said.type === "amount") {
      this.valued(said.amount, body, prefix, word.text === "tracks" ? anything : value);
      this.expression(said.at, body, prefix);
    }
  }

  private wave(w: Waveform, body: Body, prefix: string | undefined): void {
    if (w.type === "video")
      this.mentions.push({ span: w.pattern.span, about: "pattern", words: w.pattern.text });
    if (w.type === "pulse" || w.type === "sine" || w.type === "sync") {
      this.expression(w.low, body, prefix);
      this.expression(w.high, body, prefix);
    }
    if (w.type === "noise") this.expression(w.size, body, prefix);
    if (w.type === "path")
      for (const { level, time } of w.points) {
        this.expression(level, body, prefix);
        this.expression(time, body, prefix);
      }
    for (const p of w.properties) {
      this.mentions.push({ span: p.word.span, about: "property", word: p.word.text, of: w });
      this.property(p, body, prefix);
    }
  }

  private measured(s: MeasureClause, body: Body, prefix: string | undefined): void {
    const words = s.measure.map((one) => one.text).join(" ");
    for (const { span } of s.measure) this.mentions.push({ span, about: "measure", words });
    const ofPart = (this.vocabulary.measure(words)?.takes ?? "value") !== "value";
    this.reference(s.target, body, prefix, ofPart ? partOrPlace : placeOrPart);
    if (s.window.each) this.reference(s.window.each, body, prefix, placeOrPart);
    const { within, after, before } = s.window;
    for (const e of [s.at, s.through?.level, within?.from, within?.to, after, before])
      this.expression(e, body, prefix);
  }

  /** A quoted phrase in the words of a check; the opening quote comes before it. */
  private phrase({ text, span: { line, column } }: Title, body: Body, prefix: string | undefined): void {
    const { phrase } = readPhrase(text);
    if (!phrase) return;
    const inner = new Indexing(this.page, this.blockOf, this.vocabulary);
    inner.measured(phrase, body, prefix);
    for (const { span, ...one } of inner.occurrences)
      this.occurrences.push({ ...one, span: { line, column: column + span.column, length: span.length } });
  }

  private valued(amount: Valued | undefined, body: Body, prefix: string | undefined, find = value): void {
    this.expression(amount?.value, body, prefix, find);
    this.expression(amount?.tolerance?.below, body, prefix, find);
    if (amount?.tolerance?.above !== amount?.tolerance?.below)
      this.expression(amount?.tolerance?.above, body, prefix, find);
  }

  private expression(e: Expression | undefined, body: Body, prefix: string | undefined, find = value): void {
    if (!e) return;
    if (e.type === "name") this.reference(e.reference, body, prefix, find);
    else if (e.type === "negative") this.expression(e.of, body, prefix, find);
    else if (e.type === "binary") {
      this.expression(e.left, body, prefix, find);
      this.expression(e.right, body, prefix, find);
    } else {
      this.mentions.push({ span: e.digits.span, about: "number", value: e });
      for (const unit of [e.unit, e.per])
        if (unit) this.mentions.push({ span: unit.span, about: "unit", unit: unit.text });
    }
  }

  /** A dotted name: each word before the last is a use of a block, or else the words after it belong to a part. */
  private reference({ path }: Reference, from: Body, prefix: string | undefined, find: Find): void {
    let body: Body | undefined = from;
    let full = prefix;
    for (const [i, word] of path.entries()) {
      const named: Named | undefined =
        body && (i === path.length - 1 ? find(body, word.text) : body.parts.get(word.text));
      if (!named) return;
      this.note(named, word.span, full);
      if (full !== undefined) full += `${word.text}.`;
      body = named.statement.type === "use" ? this.blockOf(named.statement.block.text)?.inner : undefined;
    }
  }

  private note(named: Named | undefined, span: Word["span"], prefix?: string): void {
    if (!named) return;
    const full = prefix === undefined ? undefined : prefix + named.name;
    this.occurrences.push({ named, span, quoted: false, full });
  }

  private title(named: Named | undefined, { span }: Title): void {
    if (named) this.occurrences.push({ named, span, quoted: true });
  }
}
