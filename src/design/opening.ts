// Turns statements into parts and places, with all blocks opened. One body at a time, the design first, then each use of a
// block, its names before its parts.

import { shipped } from "../blocks/shipped.js";
import type { Statement, StatementOf, Valued, Word } from "../syntax/tree.js";
import { readControl } from "./controls.js";
import type { Amount, PartSpec } from "./design.js";
import { type PartStatement, readPart } from "./partstatement.js";
import { type CaseReading, reportTwice, Scope } from "./scope.js";
import { pathText } from "./values.js";
import { reportName } from "./words.js";

/** How deep blocks may use blocks. */
const deepest = 32;

/** Puts one circuit together. */
export class CircuitReader {
  readonly parts: PartSpec[] = [];
  /** Named values by full name. */
  readonly givens = new Map<string, Amount>();
  private readonly named = new Map<string, Word>();
  /** Work that waits until all places and parts are known. */
  private readonly late: (() => void)[] = [];
  private readonly blocks = new Map<string, StatementOf<"block">>();
  private readonly valueNames: string[] = [];
  // A block is part of the design's text, so it sees the design's values, not those of the block that uses it.
  private readonly outermost: Scope;

  constructor(private readonly at: CaseReading) {
    this.outermost = new Scope(at, { prefix: "", handed: (name) => this.changed(name) });
  }

  /** Reads the statements of the design and returns the scope in which its checks are read. */
  read(statements: readonly Statement[]): Scope {
    const { report, reading, changes } = this.at;
    for (const s of statements) {
      if (s.type !== "block") continue;
      const first = this.blocks.get(s.name.text);
      if (first) reportTwice(report, "block", s.name, first.name, first.from);
      else this.blocks.set(s.name.text, s);
    }
    this.body(statements, this.outermost, []);
    for (const action of this.late) action();
    // If the case was read without mistakes before, every change has met its target.
    if (reading.first) changes.finish([...this.named.keys(), ...this.valueNames]);
    return this.outermost;
  }

  /** The value that a case gives to a named value. */
  private changed(full: string): { valued: Valued; scope: Scope } | undefined {
    const { report, changes } = this.at;
    // A case stands in the text that is compiled.
    const valued = report.within(undefined, () => changes.given(full));
    return valued && { valued, scope: this.outermost };
  }

  private body(statements: readonly Statement[], scope: Scope, inside: readonly string[]): void {
    scope.declare(statements, (signal) => this.at.changes.wave(signal));
    for (const name of scope.own()) this.valueNames.push(scope.prefix + name);
    for (const [name, amount] of scope.check()) this.givens.set(name, amount);
    for (const s of statements) {
      if (s.type === "supply" || s.type === "signal" || s.type === "part") this.made(s, scope);
      else if (s.type === "use") this.use(s, scope, inside);
      else if (scope.prefix !== "" && s.type !== "given")
        this.at.report.error("not-in-block", `a ${s.type} cannot stand in a block`, s.span, {
          hint: "write it outside of the block, about a use of it",
        });
    }
  }

  private made(s: PartStatement, scope: Scope): void {
    const { reading } = this.at;
    const name = this.claim(s.name, scope);
    const { report } = this.at;
    const { other } = report;
    const read = reading.of("part", name, name, () => {
      const found = readPart(s, scope, name);
      // The span of a part from a brought text is that of its use.
      return found && other ? { ...found, part: { ...found.part, span: other.at } } : found;
    });
    if (!read) {
      report.lose([name]);
      return;
    }
    const { part, control } = read;
    const index = this.parts.push(part) - 1;
    // A control may name a place that a later statement makes.
    if (control)
      this.late.push(() => {
        const attach = () => {
          const found = readControl(control, scope);
          return found && { part, whole: { ...part, control: found } };
        };
        report.within(other, () => {
          const known = reading.of("control", name, name, attach);
          // A cached control belongs to this part only if it was read for the same object.
          const found = known && known.part !== part ? attach() : known;
          if (found) this.parts[index] = found.whole;
        });
      });
    if (part.kind.couples && s.type === "part" && reading.first)
      this.late.push(() => report.within(other, () => this.coupled(part.kind.couples!, s, scope)));
  }

  private claim(name: Word, scope: Scope): string {
    const full = scope.prefix + name.text;
    const first = this.named.get(full);
    if (first) reportTwice(this.at.report, "part", name, first);
    else this.named.set(full, name);
    return full;
  }

  /** Checks a part that couples two others: both must exist, be of the right kind, and differ. */
  private coupled(word: string, s: StatementOf<"part">, scope: Scope): void {
    const { report } = this.at;
    const name = scope.prefix + s.name.text;
    const all = this.parts.filter((p) => p.kind.word === word && p.name.startsWith(scope.prefix));
    for (const reference of [s.tail, s.head]) {
      const text = pathText(reference);
      if (all.some((p) => p.name === scope.prefix + text)) continue;
      const message = this.parts.some((p) => p.name === scope.prefix + text)
        ? `'${text}' is no ${word}, and '${name}' can couple nothing else`
        : `no ${word} is called '${text}'`;
      reportName(report, "unknown-part", message, { text, span: reference.span }, () =>
        all.map((p) => p.name.slice(scope.prefix.length)),
      );
    }
    if (pathText(s.tail) === pathText(s.head))
      report.error("couples-itself", `'${name}' couples '${pathText(s.tail)}' to itself`, s.span, {
        hint: "name two inductors",
      });
  }

  private use(s: StatementOf<"use">, scope: Scope, inside: readonly string[]): void {
    const taken = this.named.has(scope.prefix + s.name.text);
    const full = this.claim(s.name, scope);
    const block = this.blockOf(s, inside, taken);
    if (!block) {
      // What it would have made is unknown because of it.
      this.at.report.lose([...(taken ? [] : [full]), ...s.places.map(pathText)]);
      return;
    }
    const handed = this.handed(s, block);
    const { report } = this.at;
    const other = block.from === undefined ? undefined : { text: block.from, at: report.other?.at ?? s.span };
    const inner: Scope = new Scope(this.at, {
      prefix: `${full}.`,
      outer: this.outermost,
      text: other,
      handed: (name) => {
        const valued = handed.get(name);
        return this.changed(`${full}.${name}`) ?? (valued && { valued, scope });
      },
    });
    for (const [i, word] of block.places.entries()) inner.joined.set(word.text, scope.place(s.places[i]));
    report.within(other, () => this.body(block.body, inner, [...inside, s.block.text]));
  }

  /** The block of a use; undefined if it cannot be used like that. */
  private blockOf(
    s: StatementOf<"use">,
    inside: readonly string[],
    taken: boolean,
  ): StatementOf<"block"> | undefined {
    const { report } = this.at;
    const { text } = s.block;
    const block = this.blocks.get(text);
    if (!block) {
      const message = `no block is called '${text}'`;
      const file = [...shipped].find(([, body]) => body.includes(`block ${text} joins`))?.[0];
      if (file)
        report.error("unknown-block", message, s.block.span, {
          hint: `write 'bring "shipped/${file}"' above`,
        });
      else reportName(report, "unknown-block", message, s.block, () => [...this.blocks.keys()]);
      return undefined;
    }
    // A name that is taken is one mistake, not one for every part inside.
    if (taken) return undefined;
    if (inside.length > deepest) {
      report.error("too-deep", `blocks use blocks ${deepest} deep at most`, s.span, {
        hint: "write what the innermost of them holds into the one that uses it",
      });
    } else if (inside.includes(text)) {
      const way = [...inside, text].join(" → ");
      report.error("block-cycle", `block '${text}' contains itself: ${way}`, s.span, {
        hint: "take one of these uses out of its block",
      });
    } else if (s.places.length !== block.places.length) {
      const names = block.places.map((p) => p.text).join(", ");
      const message = `block '${text}' joins ${block.places.length} places (${names}), here are ${s.places.length}`;
      report.error("wrong-places", message, s.span, { hint: `name a place for each: joins ${names}` });
    } else return block;
    return undefined;
  }

  private handed(s: StatementOf<"use">, block: StatementOf<"block">): ReadonlyMap<string, Valued> {
    const { report } = this.at;
    const own = new Set(block.body.flatMap((b) => (b.type === "given" ? [b.name.text] : [])));
    const handed = new Map<string, Valued>();
    for (const { name, amount } of s.values) {
      const message = `block '${s.block.text}' has no value '${name.text}'`;
      if (!own.has(name.text)) reportName(report, "unknown-value", message, name, () => [...own]);
      else if (handed.has(name.text))
        report.error("repeated-property", `'${name.text}' is given twice`, name.span, {
          hint: "delete one of them",
        });
      else handed.set(name.text, amount);
    }
    return handed;
  }
}
