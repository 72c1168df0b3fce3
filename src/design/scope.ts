// Which values and places a body of statements can name. A block has places and values of its own; it sees the
// values of the text around it, but apart from ground no place that is not handed to it.
import type { Elsewhere, Report } from "../base/diagnostic.js";
import { nameOf, sameDimension } from "../base/dimension.js";
import { quantity, show } from "../base/quantity.js";
import { wholeText } from "../base/span.js";
import type { Reference, Statement, StatementOf, Valued, Waveform, Word } from "../syntax/tree.js";
import type { CachedReading } from "./cache.js";
import type { Changes } from "./cases.js";
import type { Amount } from "./design.js";
import { ownPeriods } from "./ownperiods.js";
import type { Places } from "./places.js";
import { readSpreading, spreadWords } from "./spreading.js";
import { type Names, namesOf, pathText, unitHint, ValueReader } from "./values.js";
import type { Vocabulary } from "./vocabulary.js";
import type { Handed } from "./waveform.js";
import { reportName, shown } from "./words.js";

/** What is at hand while the statements of one case are read. */
export interface CaseReading {
  readonly places: Places;
  readonly changes: Changes;
  readonly vocabulary: Vocabulary;
  readonly handed: Handed;
  readonly report: Report;
  readonly reading: CachedReading;
}

/** One body of statements: the design itself, or one use of a block. */
interface Body {
  /** Goes before its names: `line.` in the use called line. */
  readonly prefix: string;
  /** The text around it. */
  readonly outer?: Scope;
  /** The brought text that it stands in; undefined: the one that is compiled. */
  readonly text?: Elsewhere;
  /** Values set from outside: by a use, or by a case. */
  handed(name: string): { readonly valued: Valued; readonly scope: Scope } | undefined;
}

type Given = StatementOf<"given">;

/** The names of one body: the design itself, or one use of a block. */
export class Scope implements Names {
  readonly values: ValueReader;
  private readonly givens = new Map<string, Given>();
  /** The periods of the signals of this body, `gate.period`, which nobody sets. */
  private readonly periods = new Set<string>();
  private readonly worked = new Map<string, Amount | undefined>();
  /** Values being worked out, each inside the one before, with the names that each still waits for. */
  private readonly busy = new Map<string, string[]>();
  /** Places handed to a block, by their names in it. */
  readonly joined = new Map<string, number>();

  constructor(
    readonly at: CaseReading,
    private readonly body: Body,
  ) {
    this.values = new ValueReader(this, at.report);
  }

  get prefix(): string {
    return this.body.prefix;
  }

  /**
   * Notes the given values of a body and the periods of its signals; a name given twice is reported with both places.
   * @param changed the waveform that a case gives to a signal
   */
  declare(body: readonly Statement[], changed: (signal: string) => Waveform | undefined): void {
    for (const s of body) {
      if (s.type === "signal") this.declarePeriods(s.name, changed(this.prefix + s.name.text) ?? s.wave);
      if (s.type !== "given") continue;
      const first = this.givens.get(s.name.text);
      if (first) reportTwice(this.at.report, "value", s.name, first.name);
      else this.givens.set(s.name.text, s);
    }
  }

  private declarePeriods(signal: Word, wave: Waveform): void {
    for (const [word, value] of ownPeriods(wave)) {
      const name = { text: `${signal.text}.${word}`, span: signal.span };
      const { span } = value;
      this.givens.set(name.text, { type: "given", name, amount: { value, span }, properties: [], span });
      this.periods.add(name.text);
    }
  }

  /** Works out every value, so that a wrong one is reported even if unused; returns them by full name. */
  check(): [string, Amount][] {
    return this.own().flatMap((name): [string, Amount][] => {
      const amount = this.value(name);
      return amount ? [[this.prefix + name, amount]] : [];
    });
  }

  value(name: string): Amount | undefined {
    if (!this.givens.has(name)) return this.body.outer?.value(name);
    const found = this.found(name);
    this.at.reading.looked(this.prefix + name, found);
    return found;
  }

  private found(name: string): Amount | undefined {
    if (this.worked.has(name)) return this.worked.get(name);
    const given = this.givens.get(name)!;
    if (this.busy.has(name)) {
      const way = shown([...this.busy.keys(), name]).join(" → ");
      return this.at.report.error(
        "circular-value",
        `the value of '${name}' depends on itself: ${way}`,
        given.name.span,
        { hint: "give one of them a value of its own" },
      );
    }
    this.workThrough(name);
    return this.worked.get(name);
  }

  // The values that one is made of come before it. A loop, not recursion: a thousand in a chain would be too deep for the stack.
  private workThrough(first: string): void {
    const stack = [first];
    this.busy.set(first, this.leansOn(first));
    for (let name = stack.at(-1); name !== undefined; name = stack.at(-1)) {
      const next = this.busy.get(name)!.pop();
      if (next === undefined) {
        const full = this.prefix + name;
        const written = this.at.reading.of("given", full, undefined, () => this.work(name));
        const found = written && (this.periods.has(name) ? written : this.at.changes.exact(full, written));
        this.worked.set(name, found);
        this.at.reading.stands(full, found);
        this.busy.delete(name);
        stack.pop();
      } else if (this.givens.has(next) && !this.worked.has(next) && !this.busy.has(next)) {
        this.busy.set(next, this.leansOn(next));
        stack.push(next);
      }
    }
  }

  /** The names that a value of this body is made of, the first one last. */
  private leansOn(name: string): string[] {
    const given = this.givens.get(name)!;
    const handed = this.setFor(name);
    const found: string[] = [];
    if (!handed) namesOf(given.amount, found);
    else if (handed.scope === this) namesOf(handed.valued, found);
    for (const { word, value } of given.properties) {
      const reads = word.text !== "tracks" && word.text !== "spread";
      if (reads && value.type === "amount") namesOf(value.amount, found);
    }
    return found.reverse();
  }

  private setFor(name: string): { valued: Valued; scope: Scope } | undefined {
    return this.periods.has(name) ? undefined : this.body.handed(name);
  }

  /** A value as written, or as handed to the body. */
  private work(name: string): Amount | undefined {
    const given = this.givens.get(name)!;
    const { valued, scope } = this.setFor(name) ?? { valued: given.amount, scope: this };
    const { report } = this.at;
    // What is handed to a block stands where it is used.
    const written = report.within(scope.body.text, () => {
      const amount = scope.values.amount(valued, undefined, `'${name}'`);
      return amount && (valued === given.amount || this.alike(amount, given, valued)) ? amount : undefined;
    });
    return written && report.within(this.body.text, () => this.spread(written, given));
  }

  /** Whether what is handed is of the dimension of what is written in its place; reports where it is handed if not. */
  private alike(amount: Amount, { name, amount: own }: Given, handed: Valued): boolean {
    const usual = own.value.type === "number" ? this.values.quantity(own.value)?.dimension : undefined;
    if (!usual || sameDimension(usual, amount.dimension)) return true;
    const shown = show(quantity(amount.value, amount.dimension));
    const message = `'${name.text}' is ${nameOf(usual)}, but ${shown} is ${nameOf(amount.dimension)}`;
    this.at.report.error("wrong-dimension", message, handed.value.span, { hint: unitHint(usual) });
    return false;
  }

  /** A value with its spreading, by the properties of its own statement. */
  private spread(amount: Amount, { name, properties }: Given): Amount {
    const words = properties.filter((p) => Object.hasOwn(spreadWords, p.word.text));
    for (const p of properties) {
      if (words.includes(p)) continue;
      const rated = p.word.text === "rated";
      const message = rated ? "a named value is not rated" : `a named value has no '${p.word.text}'`;
      if (rated)
        this.at.report.error("unknown-property", message, p.span, {
          hint: "rate the part that it is used for",
        });
      else reportName(this.at.report, "unknown-property", message, p.word, Object.keys(spreadWords));
    }
    return readSpreading(amount, words, `'${name.text}'`, this.values, this.at.report);
  }

  full(name: string): string {
    return this.givens.has(name) || !this.body.outer ? this.prefix + name : this.body.outer.full(name);
  }

  known(name: string): boolean {
    return this.givens.has(name) || (this.body.outer?.known(name) ?? false);
  }

  all(): readonly string[] {
    return [...this.givens.keys(), ...(this.body.outer?.all() ?? [])];
  }

  /** Names of the values that this body itself defines. */
  own(): readonly string[] {
    return [...this.givens.keys()].filter((name) => !this.periods.has(name));
  }

  /** The place a part joins; a new name makes a new place. */
  place(reference: Reference): number {
    const name = pathText(reference);
    if (name === "ground") return 0;
    return this.joined.get(name) ?? this.at.places.make(this.prefix + name, reference.span);
  }

  /** A place that must exist already. */
  existing(reference: Reference): number | undefined {
    const name = pathText(reference);
    return this.joined.get(name) ?? this.at.places.find(name === "ground" ? name : this.prefix + name);
  }
}

/** Reports a name given twice, with both places, or with the text from which the first one was brought. */
export function reportTwice(report: Report, what: string, again: Word, first: Word, from?: string): void {
  const hint = "choose another name for one of them";
  // A name in a brought text has no place in this one.
  if (from !== undefined) {
    report.error("name-twice", `a ${what} called '${again.text}' comes with "${from}" already`, again.span, {
      hint,
    });
    return;
  }
  const { line, column } = first.span ?? wholeText;
  report.error(
    "name-twice",
    `a ${what} called '${again.text}' stands in line ${line}, column ${column} already`,
    again.span,
    {
      hint,
      related: [{ message: `'${first.text}' is first named here`, span: first.span }],
    },
  );
}
