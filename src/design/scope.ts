// Names: which values and places a body of statements sees. A block has places and values of its own; it sees
// the values of the text around it, but no place that is not handed to it, except ground.
import type { Report } from "../base/diagnostic.js";
import { wholeText } from "../base/span.js";
import type { Reference, Statement, Valued, Word } from "../syntax/tree.js";
import type { CachedReading } from "./cache.js";
import type { Amount } from "./design.js";
import { readSpreading, spreadWords } from "./spreading.js";
import { type Names, namesOf, pathText, Values } from "./values.js";
import { reportName, shown } from "./words.js";

/** All places of a design by full name; ground is place 0. */
export class Places {
  readonly names: string[] = ["ground"];
  private readonly index = new Map<string, number>([["ground", 0]]);
  /** Where each place was first named. */
  readonly firstAt = new Map<number, Word["span"]>();

  /** The place of that name, made if new. */
  make(name: string, at: Word["span"]): number {
    const known = this.index.get(name);
    if (known !== undefined) return known;
    const made = this.names.length;
    this.names.push(name);
    this.index.set(name, made);
    this.firstAt.set(made, at);
    return made;
  }

  /** The place of that name, if there is one. */
  find(name: string): number | undefined {
    return this.index.get(name);
  }
}

type Given = Extract<Statement, { type: "given" }>;

/** The names of one body: the design itself, or one use of a block. */
export class Scope implements Names {
  readonly values: Values;
  private readonly givens = new Map<string, Given>();
  private readonly worked = new Map<string, Amount | undefined>();
  /** Values being worked out, each inside the one before, with what of theirs is still to be looked at. */
  private readonly busy = new Map<string, string[]>();
  /** Places handed to a block, by their names in it. */
  readonly joined = new Map<string, number>();

  /**
   * @param prefix what stands before a name of this body: `line.` in the use called line
   * @param handed values set from outside: by a use, or by a case
   * @param exact the amount of a full name as it is to be, where another value was set for it
   * @param reading told of every value that is looked up
   */
  constructor(
    readonly prefix: string,
    readonly places: Places,
    private readonly report: Report,
    private readonly outer: Scope | undefined,
    private readonly handed: (name: string) => { valued: Valued; scope: Scope } | undefined,
    readonly exact: (name: string, amount: Amount) => Amount,
    private readonly reading: CachedReading,
  ) {
    this.values = new Values(this, report);
  }

  /** Takes up the given values of a body; a name twice is reported with both places. */
  declare(body: readonly Statement[]): void {
    for (const s of body) {
      if (s.type !== "given") continue;
      const first = this.givens.get(s.name.text);
      if (first) reportTwice(this.report, "value", s.name, first.name);
      else this.givens.set(s.name.text, s);
    }
  }

  /** Works out every value, so that a wrong one is told even if unused; gives them by full name. */
  check(): [string, Amount][] {
    return this.own().flatMap((name): [string, Amount][] => {
      const amount = this.value(name);
      return amount ? [[this.prefix + name, amount]] : [];
    });
  }

  value(name: string): Amount | undefined {
    if (!this.givens.has(name)) return this.outer?.value(name);
    const found = this.found(name);
    this.reading.looked(this.prefix + name, found);
    return found;
  }

  private found(name: string): Amount | undefined {
    if (this.worked.has(name)) return this.worked.get(name);
    const given = this.givens.get(name)!;
    if (this.busy.has(name)) {
      const way = shown([...this.busy.keys(), name]).join(" → ");
      this.report.error(
        "circular-value",
        `the value of '${name}' depends on itself: ${way}`,
        given.name.span,
      );
      return undefined;
    }
    this.workThrough(name);
    return this.worked.get(name);
  }

  // What a value is made of comes before it, in a loop: a thousand values in a chain would be too deep for the stack.
  private workThrough(first: string): void {
    const stack = [first];
    this.busy.set(first, this.leansOn(first));
    for (let name = stack.at(-1); name !== undefined; name = stack.at(-1)) {
      const next = this.busy.get(name)!.pop();
      if (next === undefined) {
        const full = this.prefix + name;
        const written = this.reading.of(`value ${full}`, undefined, () => this.work(name));
        const found = written && this.exact(full, written);
        this.worked.set(name, found);
        this.reading.stands(full, found);
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
    const handed = this.handed(name);
    const found: string[] = [];
    if (!handed) namesOf(given.amount, found);
    else if (handed.scope === this) namesOf(handed.valued, found);
    for (const { word, value } of given.properties) {
      const reads = word.text !== "tracks" && word.text !== "spread";
      if (reads && value.type === "amount") namesOf(value.amount, found);
    }
    return found.reverse();
  }

  /** A value as it is written, or handed to the body. */
  private work(name: string): Amount | undefined {
    const given = this.givens.get(name)!;
    const handed = this.handed(name);
    const written = handed
      ? handed.scope.values.amount(handed.valued, undefined, `'${name}'`)
      : this.values.amount(given.amount, undefined, `'${name}'`);
    return written && this.spread(written, given);
  }

  /** A value with what the words behind its own statement say of how it spreads. */
  private spread(amount: Amount, { name, properties }: Given): Amount {
    const words = properties.filter((p) => Object.hasOwn(spreadWords, p.word.text));
    for (const p of properties) {
      if (words.includes(p)) continue;
      const rated = p.word.text === "rated";
      const message = rated ? "a named value is not rated" : `a named value has no '${p.word.text}'`;
      if (rated)
        this.report.error("unknown-property", message, p.span, { hint: "rate the part that it is used for" });
      else reportName(this.report, "unknown-property", message, p.word, Object.keys(spreadWords));
    }
    return readSpreading(amount, words, `'${name.text}'`, this.values, this.report);
  }

  full(name: string): string {
    return this.givens.has(name) || !this.outer ? this.prefix + name : this.outer.full(name);
  }

  known(name: string): boolean {
    return this.givens.has(name) || (this.outer?.known(name) ?? false);
  }

  all(): readonly string[] {
    return [...this.givens.keys(), ...(this.outer?.all() ?? [])];
  }

  /** Names of the values this body itself has. */
  own(): readonly string[] {
    return [...this.givens.keys()];
  }

  /** The place a part joins; a new name makes a new place. */
  place(reference: Reference): number {
    const name = pathText(reference);
    if (name === "ground") return 0;
    return this.joined.get(name) ?? this.places.make(this.prefix + name, reference.span);
  }

  /** A place that must exist already. */
  existing(reference: Reference): number | undefined {
    const name = pathText(reference);
    return this.joined.get(name) ?? this.places.find(name === "ground" ? name : this.prefix + name);
  }
}

/** Reports a name given twice, with both places. */
export function reportTwice(report: Report, what: string, again: Word, first: Word): void {
  const { line, column } = first.span ?? wholeText;
  report.error(
    "name-twice",
    `a ${what} called '${again.text}' stands in line ${line}, column ${column} already`,
    again.span,
    {
      hint: "choose another name for one of them",
      related: [{ message: `'${first.text}' is first named here`, span: first.span }],
    },
  );
}
