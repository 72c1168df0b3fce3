// Statements to parts and places: blocks are opened up, words of parts become values, controls and waves. One
// body at a time, the design first, then each use of a block with its names before its parts.

import type { Report } from "../base/diagnostic.js";
import { dimension, nameOf } from "../base/dimension.js";
import type { Control, Kind } from "../parts/contract.js";
import { kindOf } from "../parts/kinds.js";
import { belowGround, supply as supplyKind } from "../parts/supply.js";
import { signal as signalKind } from "../parts/voltage.js";
import { constant, type Wave } from "../signals/wave.js";
import type { Property, Statement, Valued, Word } from "../syntax/tree.js";
import type { CachedReading } from "./cache.js";
import type { Changes } from "./cases.js";
import { readControl } from "./controls.js";
import type { Amount, PartSpec } from "./design.js";
import { readWords } from "./properties.js";
import { readRatings } from "./ratings.js";
import { type Places, reportTwice, Scope } from "./scope.js";
import { sorted, specOf } from "./spec.js";
import { readSpreading } from "./spreading.js";
import { pathText } from "./values.js";
import type { Films } from "./videowave.js";
import { readWave } from "./waveform.js";
import { reportName } from "./words.js";

type Of<T extends Statement["type"]> = Statement & { readonly type: T };

/** How deep blocks may use blocks. */
const deepest = 32;

/** Puts one circuit together. */
export class CircuitReader {
  readonly parts: PartSpec[] = [];
  /** Named values by full name. */
  readonly givens = new Map<string, Amount>();
  private readonly named = new Map<string, Word>();
  private readonly late: (() => void)[] = [];
  private readonly blocks = new Map<string, Of<"block">>();
  private readonly valueNames: string[] = [];

  constructor(
    private readonly places: Places,
    private readonly changes: Changes,
    private readonly films: Films,
    private readonly report: Report,
    private readonly reading: CachedReading,
  ) {}

  /** Reads the statements of the design; the scope it gives is the one that checks are read in. */
  read(statements: readonly Statement[]): Scope {
    for (const s of statements) {
      if (s.type !== "block") continue;
      const first = this.blocks.get(s.name.text);
      if (first) reportTwice(this.report, "block", s.name, first.name);
      else this.blocks.set(s.name.text, s);
    }
    const scope: Scope = new Scope(
      "",
      this.places,
      this.report,
      undefined,
      (name) => this.changed(name, () => scope),
      this.exact,
      this.reading,
    );
    this.body(statements, scope);
    for (const action of this.late) action();
    // Read cleanly before, every change has met its target.
    if (this.reading.first) this.changes.finish([...this.named.keys(), ...this.valueNames]);
    return scope;
  }

  private readonly exact = (name: string, amount: Amount) => this.changes.exact(name, amount);

  private changed(full: string, scope: () => Scope): { valued: Valued; scope: Scope } | undefined {
    const valued = this.changes.given(full);
    return valued && { valued, scope: scope() };
  }

  private body(statements: readonly Statement[], scope: Scope, inside: readonly string[] = []): void {
    scope.declare(statements);
    for (const name of scope.own()) this.valueNames.push(scope.prefix + name);
    for (const [name, amount] of scope.check()) this.givens.set(name, amount);
    for (const s of statements) {
      if (s.type === "supply" || s.type === "signal" || s.type === "part") this.made(s, scope);
      else if (s.type === "use") this.use(s, scope, inside);
      else if (scope.prefix !== "" && s.type !== "given") {
        this.report.error("not-in-block", `a ${s.type} cannot stand in a block`, s.span);
      }
    }
  }

  private made(s: Of<"supply" | "signal" | "part">, scope: Scope): void {
    const name = this.claim(s.name, scope);
    const part = this.reading.of(`part ${name}`, name, () => {
      if (s.type === "part") return this.part(s, scope, name);
      return s.type === "supply" ? this.supply(s, scope, name) : this.signal(s, scope, name);
    });
    if (part) this.parts.push(part);
  }

  private claim(name: Word, scope: Scope): string {
    const full = scope.prefix + name.text;
    const first = this.named.get(full);
    if (first) reportTwice(this.report, "part", name, first);
    else this.named.set(full, name);
    return full;
  }

  private supply(s: Of<"supply">, scope: Scope, name: string): PartSpec | undefined {
    const change = this.changes.source(name, scope.values);
    if (change.wave) {
      this.report.error("change-form", "a supply has a value, not a waveform", change.wave.span);
    }
    const written = scope.values.amount(change.value ?? s.amount, dimension.voltage, `supply '${name}'`);
    const tail = this.places.make(name, s.name.span);
    if (!written) return undefined;
    const words = sorted(s.properties);
    const { report } = this;
    const own = readWords(s.name, words.own, supplyKind, scope, report);
    const value = this.exact(
      name,
      readSpreading(written, words.spread, `supply '${name}'`, scope.values, report),
    );
    const ratings = readRatings(words.rated, name, scope.values, report);
    const wave = change.apply(constant(value.value));
    const steady = !wave.stops && !wave.starts;
    const level: Amount = steady ? { ...value, value: value.value.mul(wave.scale) } : value;
    if (!own) return undefined;
    return specOf(name, supplyKind, s, {
      tail,
      head: 0,
      value: level,
      amounts: own.amounts,
      ...(value.value.s < 0n && { flags: new Set([belowGround]) }),
      fault: change.fault,
      ...(ratings.length > 0 && { ratings }),
      ...(!steady && { wave }),
    });
  }

  private signal(s: Of<"signal">, scope: Scope, name: string): PartSpec | undefined {
    const change = this.changes.source(name, scope.values);
    if (change.value) this.noValue(change.value);
    const form = change.wave ?? s.wave;
    const wave = readWave(form, dimension.voltage, scope.values, this.films, this.report);
    const tail = this.places.make(name, s.name.span);
    if (!wave) return undefined;
    return specOf(name, signalKind, s, { tail, head: 0, wave: change.apply(wave), fault: change.fault });
  }

  private noValue({ span }: Valued): void {
    this.report.error("change-form", "what follows a waveform has no value", span, {
      hint: "write a waveform behind 'is', e.g. 'video of 625/50, black'",
    });
  }

  private part(s: Of<"part">, scope: Scope, name: string): PartSpec | undefined {
    const kind = kindOf(s.kind.text);
    const [tail, head] = kind?.couples ? [0, 0] : [scope.place(s.tail), scope.place(s.head)];
    // The reader has told of a kind that does not exist.
    if (!kind) return undefined;
    const what = `the value of ${kind.word} '${name}'`;
    let value: Amount | undefined;
    let wave: Wave | undefined;
    let change: { value?: Valued; fault?: "open" | "short" };
    // Behind a waveform the words of the part and those of the wave stand in one list.
    const ofPart = (p: Property) =>
      p.word.text === "rated" || kind.properties.some((k) => k.word === p.word.text);
    const {
      own: properties,
      spread,
      rated,
    } = sorted(s.wave ? s.wave.properties.filter(ofPart) : s.properties);
    if (s.wave) {
      const source = this.changes.source(name, scope.values);
      change = source;
      if (kind.value?.wave) {
        const own = { ...s.wave, properties: s.wave.properties.filter((p) => !ofPart(p)) };
        const form = source.wave ?? own;
        if (source.value) this.noValue(source.value);
        const read = readWave(form, kind.value.dimension, scope.values, this.films, this.report);
        wave = read && source.apply(read);
      } else this.report.error("no-wave", `a ${kind.word} cannot follow a waveform`, s.wave.span);
    } else {
      change = this.changes.part(name);
      if (change.fault === "short" && kind.couples)
        this.report.error(
          "change-form",
          `${kind.word} '${name}' joins no places, so it cannot be short`,
          s.name.span,
        );
      const valued = change.value ?? s.amount;
      if (valued && kind.value) {
        const { range } = kind.value;
        const { values } = scope;
        const form = kind.value;
        const said = this.reading.of(`value of part ${name}`, undefined, () => {
          const written = values.amount(valued, form.dimension, what, range);
          return written && readSpreading(written, spread, what, values, this.report);
        });
        value = said && values.allowed(this.exact(name, said), what, range ?? "any");
      } else if (valued) {
        this.report.error("no-value", `a ${kind.word} takes no value after its places`, valued.span, {
          hint: `it has: ${kind.properties.map((p) => p.word).join(", ")}`,
        });
      } else if (kind.value) {
        this.report.error("missing-value", `${kind.word} '${name}' has no value`, s.name.span, {
          hint: `write ${nameOf(kind.value.dimension)} after its places`,
        });
      }
    }
    if (!kind.value) this.nothingSpreads(spread, kind);
    const ratings = readRatings(rated, name, scope.values, this.report);
    const words = readWords(s.name, properties, kind, scope, this.report);
    if (!words || (kind.value && !value && !wave)) return undefined;
    const couples =
      kind.couples && ([s.tail, s.head].map((one) => scope.prefix + pathText(one)) as [string, string]);
    if (couples) this.late.push(() => this.coupled(name, kind.couples!, s, scope));
    if (couples && rated[0])
      this.report.error(
        "property-form",
        `a ${kind.word} bears nothing that it could be rated for`,
        rated[0].span,
      );
    const made: PartSpec & { control?: Control } = {
      name,
      kind,
      tail,
      head,
      span: s.span,
      ...(value && { value }),
      ...(wave && { wave }),
      ...(change.fault && { fault: change.fault }),
      ...(couples && { couples }),
      ...(ratings.length > 0 && { ratings }),
      amounts: words.amounts,
      places: words.places,
      flags: words.flags,
    };
    const { control } = words;
    // A control may name a place that a later statement makes.
    if (control)
      this.late.push(() =>
        this.reading.rest(`part ${name}`, () => {
          Object.assign(made, {
            control: readControl(control, words.amounts.get("open"), scope, this.report),
          });
        }),
      );
    return made;
  }

  /** What stands between parts: both must be there, be of the kind that it couples, and be two. */
  private coupled(name: string, word: string, s: Of<"part">, scope: Scope): void {
    const all = this.parts.filter((p) => p.kind.word === word && p.name.startsWith(scope.prefix));
    for (const reference of [s.tail, s.head]) {
      const full = scope.prefix + pathText(reference);
      if (all.some((p) => p.name === full)) continue;
      const other = this.parts.find((p) => p.name === full);
      const message = other
        ? `'${pathText(reference)}' is no ${word}, and '${name}' can couple nothing else`
        : `no ${word} is called '${pathText(reference)}'`;
      const at = { text: pathText(reference), span: reference.span };
      reportName(this.report, "unknown-part", message, at, () =>
        all.map((p) => p.name.slice(scope.prefix.length)),
      );
    }
    if (pathText(s.tail) === pathText(s.head))
      this.report.error("couples-itself", `'${name}' couples '${pathText(s.tail)}' to itself`, s.span);
  }

  private nothingSpreads(words: readonly Property[], kind: Kind): void {
    for (const p of words) {
      const message = `a ${kind.word} has no value that '${p.word.text}' could be said of`;
      this.report.error("no-value", message, p.span, {
        hint: "say it of a named value, and use that for the property that spreads",
      });
    }
  }

  private use(s: Of<"use">, scope: Scope, inside: readonly string[]): void {
    const taken = this.named.has(scope.prefix + s.name.text);
    const full = this.claim(s.name, scope);
    const block = this.blocks.get(s.block.text);
    if (!block) {
      const known = () => [...this.blocks.keys()];
      reportName(this.report, "unknown-block", `no block is called '${s.block.text}'`, s.block, known);
      return;
    }
    // Of a name that is taken one mistake is told, not one for every part inside.
    if (taken) return;
    if (inside.length > deepest) {
      this.report.error("too-deep", `blocks use blocks ${deepest} deep at most`, s.span);
      return;
    }
    if (inside.includes(s.block.text)) {
      this.report.error(
        "block-cycle",
        `block '${s.block.text}' contains itself: ${[...inside, s.block.text].join(" → ")}`,
        s.span,
      );
      return;
    }
    if (s.places.length !== block.places.length) {
      this.report.error(
        "wrong-places",
        `block '${s.block.text}' joins ${block.places.length} places (${block.places.map((p) => p.text).join(", ")}), here are ${s.places.length}`,
        s.span,
      );
      return;
    }
    const own = new Set(block.body.flatMap((b) => (b.type === "given" ? [b.name.text] : [])));
    const handed = new Map<string, Valued>();
    for (const { name, amount } of s.values) {
      if (!own.has(name.text))
        reportName(
          this.report,
          "unknown-value",
          `block '${s.block.text}' has no value '${name.text}'`,
          name,
          () => [...own],
        );
      else if (handed.has(name.text))
        this.report.error("repeated-property", `'${name.text}' is given twice`, name.span);
      else handed.set(name.text, amount);
    }
    const within = (name: string) => {
      const changed = this.changed(`${full}.${name}`, () => this.outermost(scope));
      const valued = handed.get(name);
      return changed ?? (valued && { valued, scope });
    };
    const outer = this.outermost(scope);
    const inner: Scope = new Scope(
      `${full}.`,
      this.places,
      this.report,
      outer,
      within,
      this.exact,
      this.reading,
    );
    for (const [i, word] of block.places.entries()) inner.joined.set(word.text, scope.place(s.places[i]));
    this.body(block.body, inner, [...inside, s.block.text]);
  }

  // A block is written in the design's text, so it sees the design's values, not those of whoever uses it.
  private outermost(scope: Scope): Scope {
    this.top ??= scope;
    return this.top;
  }
  private top: Scope | undefined;
}
