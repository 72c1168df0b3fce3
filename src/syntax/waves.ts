// Parser rules for properties and waveforms. After a comma, a word begins a property. Whether a word of the language acts as one
// depends on what follows it, so that all of them stay free as names.
import { cover } from "../base/span.js";
import * as build from "./build.js";
import { Expressions } from "./expressions.js";
import { placeOf } from "./line.js";
import * as t from "./tokens.js";
import type { Expression, Property, PropertyValue, Waveform, Word } from "./tree.js";

const w = t.keyword;
type Point = Extract<Waveform, { type: "path" }>["points"][number];

export abstract class Waves extends Expressions {
  protected property = this.inner("property", (): Property => {
    const word = this.SUBRULE(this.word, { ARGS: ["a property"] });
    let value: PropertyValue = { type: "bare" };
    this.OPTION({
      GATE: () => !this.ends(),
      DEF: () => {
        const found = this.OR({
          DEF: [
            { GATE: () => this.clauseNext(), ALT: () => this.SUBRULE(this.condition) },
            { GATE: () => this.clauseNext(), ALT: () => this.SUBRULE(this.times) },
            {
              ALT: (): PropertyValue => {
                const amount = this.SUBRULE(this.value);
                // If more follows, the word is rather the next property, and its comma is missing.
                const how = this.OPTION1({
                  GATE: () => t.isName(this.next()) && this.ends(2),
                  DEF: () => this.SUBRULE2(this.word),
                });
                const at = this.OPTION2({
                  GATE: () => !how && !this.ends(2),
                  DEF: () => {
                    this.CONSUME(w.at);
                    return this.SUBRULE(this.expression);
                  },
                });
                return this.ACTION(() => ({
                  type: "amount",
                  amount,
                  how,
                  at,
                }));
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
      const amount = value.type === "amount" ? (value.at ?? value.how ?? value.amount) : undefined;
      const last = amount ?? (value.type === "while" ? value.level : undefined);
      const end = value.type === "times" ? (value.to ?? value.from) : last;
      return { word, value, span: build.stretch(word, end) };
    });
  });

  protected condition = this.inner("condition", (): PropertyValue => {
    this.CONSUME(w.while);
    const place = this.SUBRULE(this.reference, { ARGS: ["a place after 'while'"] });
    const side = this.either(w.above, w.below);
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
          ({ low: from, high: to } = this.range());
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
    return this.ACTION(() => ({ type: "times", from, to }));
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

  /** True if a waveform comes next: its word, followed by something that cannot follow a value. */
  protected waveformNext(): boolean {
    const type = this.next();
    if (this.syncNext() && t.isName(type)) return !this.ends(3);
    if (this.videoNext() || this.captureNext()) return true;
    if (type !== w.pulse && type !== w.sine && type !== w.path && type !== w.noise) return false;
    const after = this.next(2);
    return after === t.Numeral || after === t.Minus || after === t.Open || t.isName(after);
  }

  private syncNext(): boolean {
    return this.next(2) === w.sync && this.next(3) !== t.Dot;
  }

  private videoNext(): boolean {
    return this.next() === w.video && this.next(2) === w.of;
  }

  private captureNext(): boolean {
    return this.next() === w.capture && this.next(2) === t.Text;
  }

  protected waveform = this.inner("waveform", (): Waveform => {
    return this.OR({
      DEF: [
        { GATE: () => this.videoNext(), ALT: () => this.SUBRULE(this.video) },
        { GATE: () => !this.syncNext(), ALT: () => this.SUBRULE(this.captured) },
        { GATE: () => !this.syncNext(), ALT: () => this.SUBRULE(this.noise) },
        { GATE: () => !this.syncNext(), ALT: () => this.SUBRULE(this.swing) },
        { GATE: () => !this.syncNext(), ALT: () => this.SUBRULE(this.path) },
        { GATE: () => this.syncNext(), ALT: () => this.SUBRULE(this.sync) },
      ],
      ERR_MSG:
        "a waveform: pulse, sine, path, noise, video, capture, line sync, field sync or composite sync",
      IGNORE_AMBIGUITIES: true,
    });
  });

  protected swing = this.inner("swing", (): Waveform => {
    const first = this.either(w.pulse, w.sine);
    const { low, high } = this.range();
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const span = build.stretch({ span: placeOf(first) }, properties.at(-1) ?? high);
      return { type: first.image as "pulse" | "sine", low, high, properties, span };
    });
  });

  protected sync = this.inner("sync", (): Waveform => {
    const which = this.SUBRULE(this.name);
    this.CONSUME(w.sync);
    const system = this.SUBRULE(this.system);
    this.CONSUME(t.Comma);
    const { low, high } = this.range();
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const span = build.stretch(which, properties.at(-1) ?? high);
      return { type: "sync", which, system, low, high, properties, span };
    });
  });

  /** `of` and the name of a television system. */
  protected system = this.inner("system", (): Word => {
    this.CONSUME(w.of);
    const lines = this.CONSUME1(t.Numeral);
    this.CONSUME(t.Slash);
    const rate = this.CONSUME2(t.Numeral);
    return this.ACTION(() => ({
      text: `${lines.image}/${rate.image}`,
      span: cover(placeOf(lines), placeOf(rate)),
    }));
  });

  protected video = this.inner("video", (): Waveform => {
    const first = this.CONSUME(w.video);
    const system = this.SUBRULE(this.system);
    this.CONSUME(t.Comma);
    let pattern = this.SUBRULE1(this.word, { ARGS: ["a pattern"] });
    this.OPTION1({
      GATE: () => t.isName(this.next()),
      DEF: () => {
        const second = this.SUBRULE2(this.word, { ARGS: ["the second word of a pattern"] });
        this.ACTION(() => {
          pattern = { text: `${pattern.text} ${second.text}`, span: cover(pattern.span, second.span) };
        });
      },
    });
    let picture: Word | undefined;
    this.OPTION2(() => {
      const text = this.CONSUME(t.Text);
      this.ACTION(() => {
        picture = { text: text.image.slice(1, -1), span: placeOf(text) };
      });
    });
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const span = build.stretch({ span: placeOf(first) }, properties.at(-1) ?? picture ?? pattern);
      return { type: "video", system, pattern, picture, properties, span };
    });
  });

  protected captured = this.inner("captured", (): Waveform => {
    const first = this.CONSUME(w.capture);
    const path = this.SUBRULE(this.quoted);
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const span = build.stretch({ span: placeOf(first) }, properties.at(-1) ?? path);
      return { type: "capture", path, properties, span };
    });
  });

  protected noise = this.inner("noise", (): Waveform => {
    const first = this.CONSUME(w.noise);
    const size = this.SUBRULE(this.expression);
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const span = build.stretch({ span: placeOf(first) }, properties.at(-1) ?? size);
      return { type: "noise", size, properties, span };
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
      this.OR({
        DEF: [
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
        ],
        ERR_MSG: "a point or a property",
      });
    });
    return this.ACTION(() => {
      const span = build.stretch({ span: placeOf(first) }, properties.at(-1) ?? points.at(-1));
      return { type: "path", points, properties, span };
    });
  });

  // A property is a word followed by a value; in a point that begins with a word, a sign or `at` follows it.
  private pointNext(): boolean {
    if (!t.isName(this.next())) return true;
    return [w.at, t.Dot, t.Plus, t.Minus, t.Times, t.Slash].includes(this.next(2));
  }

  protected point = this.inner("point", (): Point => {
    const level = this.SUBRULE1(this.expression);
    this.CONSUME(w.at);
    const time = this.SUBRULE2(this.expression);
    return this.ACTION(() => ({ level, time, span: cover(level.span, time.span) }));
  });
}
