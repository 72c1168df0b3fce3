// Parser rules for the clauses of statements: properties, waveforms, changes of a case, the window and the limit
// of a check. Gives pieces of the tree. What always holds: after a comma a word with something behind it is a
// property; the words of the language decide by what follows them, so that they stay free as names.
import { cover } from "../base/span.js";
import * as build from "./build.js";
import { Expressions, isName } from "./expressions.js";
import { placeOf } from "./lines.js";
import * as t from "./tokens.js";
import type {
  Change,
  Expression,
  Limit,
  Property,
  PropertyValue,
  Reference,
  SpanClause,
  Title,
  Valued,
  Waveform,
  Word,
} from "./tree.js";

const w = t.Word;
type Point = Extract<Waveform, { type: "path" }>["points"][number];
type Check = { at?: Expression; through?: { direction?: Word; level: Expression } };

export abstract class Clauses extends Expressions {
  protected property = this.inner("property", (): Property => {
    const word = this.SUBRULE(this.word, { ARGS: ["a property"] });
    let value: PropertyValue = { type: "bare" };
    this.OPTION({
      GATE: () => !this.ends(),
      DEF: () => {
        const found = this.OR({
          DEF: [
            { GATE: () => this.speaks(), ALT: () => this.SUBRULE(this.condition) },
            { GATE: () => this.speaks(), ALT: () => this.SUBRULE(this.times) },
            {
              ALT: (): PropertyValue => {
                const amount = this.SUBRULE(this.value);
                return this.ACTION(() => ({ type: "amount", amount }));
              },
            },
          ],
          ERR_MSG: "a value",
          IGNORE_AMBIGUITIES: true,
        });
        this.ACTION(() => {
          value = found;
        });
      },
    });
    return this.ACTION(() => {
      const last = value.type === "amount" ? value.amount : value.type === "while" ? value.level : undefined;
      const end = value.type === "times" ? (value.to ?? value.from) : last;
      return { word, value, span: build.over(word, end) };
    });
  });

  protected condition = this.inner("condition", (): PropertyValue => {
    this.CONSUME(w.while);
    const place = this.SUBRULE(this.reference, { ARGS: ["a place after 'while'"] });
    const side = this.OR([{ ALT: () => this.CONSUME(w.above) }, { ALT: () => this.CONSUME(w.below) }]);
    const level = this.SUBRULE(this.expression);
    return this.ACTION(() => ({ type: "while", place, side: side.image as "above" | "below", level }));
  });

  protected times = this.inner("times", (): PropertyValue => {
    let from: Expression | undefined;
    let to: Expression | undefined;
    this.OR([
      {
        ALT: () => {
          this.CONSUME(w.from);
          from = this.SUBRULE1(this.expression);
          this.CONSUME(w.to);
          to = this.SUBRULE2(this.expression);
        },
      },
      {
        ALT: () => {
          this.CONSUME(w.after);
          from = this.SUBRULE3(this.expression);
        },
      },
      {
        ALT: () => {
          this.CONSUME(w.before);
          to = this.SUBRULE4(this.expression);
        },
      },
    ]);
    return this.ACTION(() => ({ type: "times", ...(from && { from }), ...(to && { to }) }));
  });

  /** Properties, each after a comma. */
  protected properties = this.inner("properties", (): Property[] => {
    const found: Property[] = [];
    this.MANY(() => {
      this.CONSUME(t.Comma);
      const property = this.SUBRULE(this.property);
      this.ACTION(() => found.push(property));
    });
    return found;
  });

  /** True where a waveform stands next: its word with something behind it that a value could not have. */
  protected waves(): boolean {
    const type = this.next();
    if (this.next(2) === w.sync && isName(type)) return this.next(3) === w.of || !this.ends(3);
    if (type !== w.pulse && type !== w.sine && type !== w.path) return false;
    const after = this.next(2);
    return after === t.Numeral || after === t.Minus || after === t.Open || isName(after);
  }

  protected waveform = this.inner("waveform", (): Waveform => {
    return this.OR({
      DEF: [
        { GATE: () => this.next(2) !== w.sync, ALT: () => this.SUBRULE(this.swing) },
        { GATE: () => this.next(2) !== w.sync, ALT: () => this.SUBRULE(this.path) },
        { GATE: () => this.next(2) === w.sync, ALT: () => this.SUBRULE(this.sync) },
      ],
      ERR_MSG: "a waveform: pulse, sine, path, line sync, field sync or composite sync",
      IGNORE_AMBIGUITIES: true,
    });
  });

  protected swing = this.inner("swing", (): Waveform => {
    const first = this.OR([{ ALT: () => this.CONSUME(w.pulse) }, { ALT: () => this.CONSUME(w.sine) }]);
    const low = this.SUBRULE1(this.expression);
    this.CONSUME(w.to);
    const high = this.SUBRULE2(this.expression);
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const span = build.over({ span: placeOf(first) }, properties.at(-1) ?? high);
      return { type: first.image as "pulse" | "sine", low, high, properties, span };
    });
  });

  protected sync = this.inner("sync", (): Waveform => {
    const which = this.SUBRULE(this.name);
    this.CONSUME(w.sync);
    this.CONSUME(w.of);
    const lines = this.CONSUME1(t.Numeral);
    this.CONSUME(t.Slash);
    const rate = this.CONSUME2(t.Numeral);
    this.CONSUME(t.Comma);
    const low = this.SUBRULE1(this.expression);
    this.CONSUME(w.to);
    const high = this.SUBRULE2(this.expression);
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const system = { text: `${lines.image}/${rate.image}`, span: cover(placeOf(lines), placeOf(rate)) };
      return {
        type: "sync",
        which,
        system,
        low,
        high,
        properties,
        span: build.over(which, properties.at(-1) ?? high),
      };
    });
  });

  protected path = this.inner("path", (): Waveform => {
    const first = this.CONSUME(w.path);
    const points: Point[] = [];
    const properties: Property[] = [];
    const start = this.SUBRULE1(this.point);
    this.ACTION(() => points.push(start));
    this.MANY(() => {
      this.CONSUME(t.Comma);
      this.OR([
        {
          GATE: () => this.pointNext(),
          ALT: () => {
            const further = this.SUBRULE2(this.point);
            this.ACTION(() => points.push(further));
          },
        },
        {
          ALT: () => {
            const property = this.SUBRULE(this.property);
            this.ACTION(() => properties.push(property));
          },
        },
      ]);
    });
    return this.ACTION(() => {
      const span = build.over({ span: placeOf(first) }, properties.at(-1) ?? points.at(-1));
      return { type: "path", points, properties, span };
    });
  });

  // A property is a word with a value behind it; a point that begins with a word has a sign or `at` there.
  private pointNext(): boolean {
    if (!isName(this.next())) return true;
    return [w.at, t.Dot, t.Plus, t.Minus, t.Times, t.Slash].includes(this.next(2));
  }

  protected point = this.inner("point", (): Point => {
    const level = this.SUBRULE1(this.expression);
    this.CONSUME(w.at);
    const time = this.SUBRULE2(this.expression);
    return this.ACTION(() => ({ level, time, span: cover(level.span, time.span) }));
  });

  protected change = this.inner("change", (): Change => {
    const target = this.SUBRULE(this.reference, { ARGS: ["what the case changes"] });
    const verb = this.SUBRULE(this.name, {
      ARGS: ["what happens to it: is, stops, starts, scaled, dead, open or short"],
    });
    let amount: Valued | undefined;
    let at: Expression | undefined;
    this.OPTION1({
      GATE: () => !this.ends() && !(this.next() === w.at && this.speaks()),
      DEF: () => {
        amount = this.SUBRULE(this.value);
      },
    });
    this.OPTION2(() => {
      this.CONSUME(w.at);
      at = this.SUBRULE(this.expression);
    });
    return this.ACTION(() => ({
      target,
      verb,
      ...(amount && { amount }),
      ...(at && { at }),
      span: build.over(target, at ?? amount ?? verb),
    }));
  });

  /** Clauses between the target and the limit of a check, in any order. */
  protected window = this.inner("window", (): Check & { window: SpanClause } => {
    const found: { -readonly [K in keyof SpanClause]: SpanClause[K] } = {};
    const check: Check = {};
    let span: { from: Expression; to: Expression } | undefined;
    // Each clause once: `again` refuses a second one of its kind.
    const again = (given: unknown, word: string) => {
      if (given !== undefined) throw this.refuse(`only one '${word}'`);
    };
    this.MANY(() => {
      this.OR1([
        {
          ALT: () => {
            this.ACTION(() => again(check.at, "at"));
            this.CONSUME(w.at);
            check.at = this.SUBRULE1(this.expression);
          },
        },
        {
          ALT: () => {
            this.ACTION(() => again(check.through, "through"));
            const direction = this.OPTION(() =>
              this.OR2([{ ALT: () => this.CONSUME(w.rising) }, { ALT: () => this.CONSUME(w.falling) }]),
            );
            this.CONSUME(w.through);
            const level = this.SUBRULE2(this.expression);
            this.ACTION(() => {
              check.through = { ...(direction && { direction: build.word(direction) }), level };
            });
          },
        },
        {
          ALT: () => {
            this.ACTION(() => again(found.each, "each"));
            this.CONSUME(w.each);
            found.each = this.SUBRULE(this.reference, { ARGS: ["a signal after 'each'"] });
          },
        },
        {
          ALT: () => {
            this.ACTION(() => again(span ?? found.after ?? found.before, "from"));
            this.CONSUME(w.from);
            const from = this.SUBRULE3(this.expression);
            this.CONSUME(w.to);
            const to = this.SUBRULE4(this.expression);
            span = { from, to };
          },
        },
        {
          ALT: () => {
            this.ACTION(() => again(span ?? found.after, "after"));
            this.CONSUME(w.after);
            found.after = this.SUBRULE5(this.expression);
          },
        },
        {
          ALT: () => {
            this.ACTION(() => again(span ?? found.before, "before"));
            this.CONSUME(w.before);
            found.before = this.SUBRULE6(this.expression);
          },
        },
      ]);
    });
    return this.ACTION(() => {
      const window = !span
        ? found
        : found.each
          ? { ...found, within: span }
          : { ...found, after: span.from, before: span.to };
      return { ...check, window };
    });
  });

  protected limit = this.inner("limit", (): Limit => {
    return this.OR({
      DEF: [
        {
          ALT: (): Limit => {
            const first = this.CONSUME(w.is);
            const amount = this.SUBRULE(this.value);
            return this.ACTION(() => ({ type: "is", amount, span: cover(placeOf(first), amount.span) }));
          },
        },
        {
          ALT: (): Limit => {
            const first = this.OR2([
              { ALT: () => this.CONSUME(w.below) },
              { ALT: () => this.CONSUME(w.above) },
            ]);
            const level = this.SUBRULE1(this.expression);
            return this.ACTION(() => {
              const type = first.image as "below" | "above";
              return { type, level, span: cover(placeOf(first), level.span) };
            });
          },
        },
        {
          ALT: (): Limit => {
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

  protected scope = this.inner("scope", (): { type: "every" } | { type: "case"; name: Title } => {
    this.CONSUME(w.in);
    return this.OR<{ type: "every" } | { type: "case"; name: Title }>([
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
    ]);
  });

  /** Names or references with commas between. */
  protected references = this.inner("references", (): Reference[] => {
    const found: Reference[] = [];
    this.AT_LEAST_ONE_SEP({
      SEP: t.Comma,
      ERR_MSG: "a place",
      DEF: () => {
        const one = this.SUBRULE(this.reference, { ARGS: ["a place"] });
        this.ACTION(() => found.push(one));
      },
    });
    return found;
  });
}
