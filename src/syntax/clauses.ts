// Parser rules for a part, the changes of a case, the window and limit of a check, and an unknown. The clauses of a check come in
// any order, each at most once. A part has a value, a waveform or neither; the two words after its places decide which.
import type { IToken } from "chevrotain";
import { cover } from "../base/span.js";
import * as build from "./build.js";
import { placeOf } from "./line.js";
import * as t from "./tokens.js";
import type {
  CaseScope,
  Change,
  CheckScope,
  Expression,
  LimitClause,
  MeasureClause,
  Property,
  Reference,
  SpanClause,
  Statement,
  UnknownClause,
  Valued,
  Waveform,
  Word,
} from "./tree.js";
import { Waves } from "./waves.js";

const w = t.keyword;
/** What follows the places of a part. */
interface PartTail {
  readonly wave?: Waveform;
  readonly amount?: Valued;
  readonly first?: Property;
}
const missing = (what: string): { ARGS: [string] } => ({ ARGS: [what] });
const noKind = missing("a kind of part");
const noName = missing("a name for the part");
const noBegin = missing("the place where the part begins");
const noEnd = missing("the place where the part ends");

type Check = { at?: Expression; through?: { direction?: Word; level: Expression } };

export abstract class Clauses extends Waves {
  // Made once rather than for each of a hundred thousand parts.
  private readonly behindPlaces = {
    DEF: [
      {
        GATE: () => this.waveformNext(),
        ALT: (): PartTail => ({ wave: this.SUBRULE(this.waveform) }),
      },
      {
        // No value: a word that something follows is a property.
        GATE: () => this.clauseNext() && this.next(2) !== t.Minus,
        ALT: (): PartTail => ({ first: this.SUBRULE(this.property) }),
      },
      { ALT: (): PartTail => ({ amount: this.SUBRULE(this.value) }) },
    ],
    ERR_MSG: "a value or a property",
    IGNORE_AMBIGUITIES: true,
  };
  private readonly partTail = { GATE: () => !this.ends(), DEF: () => this.OR(this.behindPlaces) };

  protected part = this.inner("part", (): Statement => {
    const kind = this.SUBRULE1(this.word, noKind);
    const name = this.SUBRULE(this.name, noName);
    const tail = this.SUBRULE1(this.reference, noBegin);
    this.CONSUME(t.Arrow);
    const head = this.SUBRULE2(this.reference, noEnd);
    const tailed = this.OPTION(this.partTail);
    const more = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const { wave, amount, first } = tailed ?? {};
      const properties = first ? [first, ...more] : more;
      return {
        type: "part",
        kind,
        name,
        tail,
        head,
        amount,
        wave,
        properties,
        span: build.stretch(kind, properties.at(-1) ?? wave ?? amount ?? head),
      };
    });
  });

  protected change = this.inner("change", (): Change => {
    const target = this.SUBRULE(this.reference, { ARGS: ["what the case changes"] });
    const verb = this.SUBRULE(this.name, {
      ARGS: ["what happens to it: is, stops, starts, scaled, dead, open or short"],
    });
    let amount: Valued | undefined;
    let at: Expression | undefined;
    let wave: Waveform | undefined;
    // What follows a waveform's commas belongs to it, so it is the last change of its case.
    this.OPTION3({
      GATE: () => this.waveformNext(),
      DEF: () => {
        wave = this.SUBRULE(this.waveform);
      },
    });
    this.OPTION1({
      GATE: () => !wave && !this.ends() && !(this.next() === w.at && this.clauseNext()),
      DEF: () => {
        amount = this.SUBRULE(this.value);
      },
    });
    this.OPTION2({
      GATE: () => !wave,
      DEF: () => {
        this.CONSUME(w.at);
        at = this.SUBRULE(this.expression);
      },
    });
    return this.ACTION(() => ({
      target,
      verb,
      amount,
      at,
      wave,
      span: build.stretch(target, wave ?? at ?? amount ?? verb),
    }));
  });

  protected unknown = this.inner("unknown", (): UnknownClause => {
    const target = this.SUBRULE(this.reference, { ARGS: ["the value to find"] });
    this.CONSUME(w.from);
    const { low: from, high: to } = this.range();
    const series = this.OPTION(() => {
      this.CONSUME(w.in);
      return this.SUBRULE(this.word, { ARGS: ["a series of preferred values"] });
    });
    return this.ACTION(() => ({
      target,
      from,
      to,
      series,
      span: build.stretch(target, series ?? to),
    }));
  });

  /** Refuses a second clause of the same kind. */
  private once(given: unknown, word: string): void {
    if (given !== undefined) throw this.refuse(`only one '${word}'`);
  }

  /** Clauses between the target and the limit of a check, in any order. */
  protected window = this.inner("window", (): Check & { window: SpanClause } => {
    const found: { -readonly [K in keyof SpanClause]: SpanClause[K] } = {};
    const check: Check = {};
    let span: { from: Expression; to: Expression } | undefined;
    // Without 'each', `from A to B` and `after A`, `before B` mean the same, so the second of them is refused.
    let second: IToken | undefined;
    this.MANY(() => {
      this.OR1([
        {
          ALT: () => {
            this.ACTION(() => this.once(check.at, "at"));
            this.CONSUME(w.at);
            check.at = this.SUBRULE1(this.expression);
          },
        },
        {
          ALT: () => {
            this.ACTION(() => this.once(check.through, "through"));
            const direction = this.OPTION(() => this.either(w.rising, w.falling));
            this.CONSUME(w.through);
            const level = this.SUBRULE2(this.expression);
            this.ACTION(() => {
              check.through = { direction: direction && build.wordOf(direction), level };
            });
          },
        },
        {
          ALT: () => {
            this.ACTION(() => this.once(found.each, "each"));
            this.CONSUME(w.each);
            found.each = this.SUBRULE(this.reference, { ARGS: ["a signal after 'each'"] });
          },
        },
        {
          ALT: () => {
            this.ACTION(() => {
              this.once(span, "from");
              if (found.after || found.before) second = this.LA(1);
            });
            this.CONSUME(w.from);
            const from = this.SUBRULE3(this.expression);
            this.CONSUME(w.to);
            const to = this.SUBRULE4(this.expression);
            span = { from, to };
          },
        },
        {
          ALT: () => {
            this.ACTION(() => {
              this.once(found.after, "after");
              if (span) second = this.LA(1);
            });
            this.CONSUME(w.after);
            found.after = this.SUBRULE5(this.expression);
          },
        },
        {
          ALT: () => {
            this.ACTION(() => {
              this.once(found.before, "before");
              if (span) second = this.LA(1);
            });
            this.CONSUME(w.before);
            found.before = this.SUBRULE6(this.expression);
          },
        },
      ]);
    });
    return this.ACTION(() => {
      if (second && !found.each) throw this.refuse("only one span of time", [], second);
      const window = !span
        ? found
        : found.each
          ? { ...found, within: span }
          : { ...found, after: span.from, before: span.to };
      return { ...check, window };
    });
  });

  protected limit = this.inner("limit", (): LimitClause => {
    return this.OR({
      DEF: [
        {
          ALT: (): LimitClause => {
            const first = this.CONSUME(w.is);
            const amount = this.SUBRULE(this.value);
            return this.ACTION(() => ({ type: "is", amount, span: cover(placeOf(first), amount.span) }));
          },
        },
        {
          ALT: (): LimitClause => {
            const first = this.either(w.below, w.above);
            const level = this.SUBRULE1(this.expression);
            return this.ACTION(() => {
              const type = first.image as "below" | "above";
              return { type, level, span: cover(placeOf(first), level.span) };
            });
          },
        },
        {
          ALT: (): LimitClause => {
            const first = this.CONSUME(w.between);
            const low = this.SUBRULE2(this.expression);
            this.CONSUME(w.and);
            const high = this.SUBRULE3(this.expression);
            return this.ACTION(() => ({
              type: "between",
              low,
              high,
              span: cover(placeOf(first), high.span),
            }));
          },
        },
      ],
      ERR_MSG: "a limit: is, below, above or between",
    });
  });

  protected measured = this.inner("measured", (): MeasureClause => {
    const measure: Word[] = [];
    this.AT_LEAST_ONE({
      GATE: () => this.next() !== w.of,
      ERR_MSG: "a measure",
      DEF: () => {
        const one = this.SUBRULE(this.word, { ARGS: ["a measure"] });
        this.ACTION(() => measure.push(one));
      },
    });
    this.CONSUME(w.of);
    const target = this.SUBRULE(this.reference, { ARGS: ["a place or a part after 'of'"] });
    const clauses = this.SUBRULE(this.window);
    return this.ACTION(() => ({ measure, target, ...clauses }));
  });

  protected scope = this.inner("scope", (): CheckScope => {
    this.CONSUME(w.in);
    return this.OR<CheckScope>([
      { ALT: () => this.SUBRULE(this.whichCase) },
      {
        ALT: () => {
          this.CONSUME(w.capture);
          const path = this.OPTION(() => this.SUBRULE(this.quoted));
          return { type: "capture", path };
        },
      },
    ]);
  });

  protected whichCase = this.inner(
    "whichCase",
    (): CaseScope =>
      this.OR<CaseScope>([
        {
          ALT: () => {
            this.CONSUME(w.every);
            this.CONSUME1(w.case);
            return { type: "every" };
          },
        },
        {
          ALT: () => {
            this.CONSUME2(w.case);
            const name = this.SUBRULE(this.quoted);
            return { type: "case", name };
          },
        },
      ]),
  );

  /** Names or references with commas between. */
  protected references = this.inner("references", (): Reference[] =>
    this.listed("a place", () => this.SUBRULE(this.reference, { ARGS: ["a place"] })),
  );
}
