// Parser rules for the insides of statements: names, references, numbers with units, arithmetic, values with tolerances. Where a
// name may stand, any word of the language counts as one. An error here belongs to the statement around it.
import {
  EmbeddedActionsParser,
  type IParserConfig,
  type IToken,
  type ParserMethod,
  type TokenType,
} from "chevrotain";
import { cover } from "../base/span.js";
import * as build from "./build.js";
import { type Trouble, TroubleFound } from "./findings.js";
import { placeOf } from "./line.js";
import * as t from "./tokens.js";
import type { Expression, Reference, Title, ToleranceClause, Valued, Word } from "./tree.js";
import { judgeUnit } from "./units.js";

export abstract class Expressions extends EmbeddedActionsParser {
  /** Mistakes found by rules of our own; the library's are in `errors`. */
  protected troubles: Trouble[] = [];

  constructor(config: IParserConfig) {
    super(t.tokenTypes, config);
  }

  /** Type of the token `k` ahead. */
  protected next(k = 1): TokenType {
    return this.LA(k).tokenType;
  }

  /** True where the token `k` ahead ends a clause. */
  protected ends(k = 1): boolean {
    const type = this.next(k);
    return type === t.Newline || type === t.Comma || type === t.Close || this.LA(k).image === "";
  }

  /** True if the next word is a word of the language, not the name of a value: more follows it, and not an operator. */
  protected clauseNext(): boolean {
    return !this.ends(2) && ![t.Dot, t.Plus, t.Times, t.Slash, t.PlusMinus, t.Less].includes(this.next(2));
  }

  /** Notes a mistake, at the next token unless another is given, and returns what to throw. */
  protected refuse(phrase: string, literals: readonly string[] = [], token = this.LA(1)): TroubleFound {
    return this.stop({ token, expected: { phrase, literals } });
  }

  private stop(trouble: Trouble): TroubleFound {
    this.troubles.push(trouble);
    return new TroubleFound(trouble, this.LA(0));
  }

  /** A rule; its errors belong to the statement around it. */
  protected inner<A extends unknown[], T>(name: string, rule: (...given: A) => T) {
    return this.RULE(name, rule);
  }

  /** One of two tokens; once in a rule. */
  protected either(one: TokenType, other: TokenType): IToken {
    return this.OR9([{ ALT: () => this.CONSUME(one) }, { ALT: () => this.CONSUME(other) }]);
  }

  /** `LOW to HIGH`; once in a rule. */
  protected range(): { low: Expression; high: Expression } {
    const low = this.SUBRULE1(this.expression);
    this.CONSUME(t.keyword.to);
    const high = this.SUBRULE2(this.expression);
    return { low, high };
  }

  /** One or more with commas between; once in a rule. @param what names the missing item if there is none */
  protected listed<T>(what: string, one: () => T): T[] {
    const found: T[] = [];
    this.AT_LEAST_ONE_SEP({
      SEP: t.Comma,
      ERR_MSG: what,
      DEF: () => {
        const item = one();
        this.ACTION(() => found.push(item));
      },
    });
    return found;
  }

  // Made once rather than for each of a hundred thousand names and values.
  private readonly names = [
    { ALT: () => this.CONSUME(t.Name) },
    { GATE: () => build.isWordy(this.LA(1).image), ALT: () => this.CONSUME(t.Numeral) },
  ];
  private readonly heads = [
    { ALT: () => this.CONSUME1(t.Name) },
    { GATE: () => build.isDotted(this.LA(1).image), ALT: () => this.CONSUME1(t.Numeral) },
  ];

  protected name = this.inner("name", (what?: string): Word => {
    const token = this.OR({ DEF: this.names, ERR_MSG: what ?? "a name" });
    return this.ACTION(() => build.wordOf(token));
  });

  /** The word of a property or a measure: it cannot begin with a digit. */
  protected word = this.inner("word", (what?: string): Word => {
    const token = this.OR({ DEF: [{ ALT: () => this.CONSUME(t.Name) }], ERR_MSG: what ?? "a word" });
    return this.ACTION(() => build.wordOf(token));
  });

  protected reference = this.inner("reference", (what?: string): Reference => {
    const first = this.OR1({ DEF: this.heads, ERR_MSG: what ?? "a name" });
    const path = this.ACTION(() => build.dottedWords(first));
    this.MANY(() => {
      this.CONSUME(t.Dot);
      const further = this.OR2({
        DEF: [
          { ALT: () => this.CONSUME2(t.Name) },
          { GATE: () => build.isDotted(this.LA(1).image), ALT: () => this.CONSUME2(t.Numeral) },
        ],
        ERR_MSG: "a name after the dot",
      });
      this.ACTION(() => {
        for (const part of build.dottedWords(further)) path.push(part);
      });
    });
    return this.ACTION(() => build.referenceOf(path));
  });

  protected quoted = this.inner("quoted", (): Title => {
    const token = this.CONSUME(t.Text);
    return this.ACTION(() => {
      // A text without its closing quote has been reported already; its words are still useful.
      const closed = token.image.length > 1 && token.image.endsWith('"');
      return { text: token.image.slice(1, closed ? -1 : undefined).normalize("NFC"), span: placeOf(token) };
    });
  });

  protected unit = this.inner("unit", (): Word => {
    const token = this.either(t.Name, t.Percent);
    return this.ACTION(() => build.wordOf(token));
  });

  protected quantity = this.inner("quantity", (): Expression => {
    const token = this.CONSUME(t.Numeral);
    const { digits, unit: glued } = this.ACTION(() => build.digitsOf(token)) ?? {};
    let unit: Word | undefined = glued;
    let per: Word | undefined;
    this.ACTION(() => {
      const refused = glued ? undefined : judgeUnit(token, this.LA(1), this.LA(2));
      if (refused) throw this.stop({ token: this.LA(1), diagnostic: refused });
    });
    this.OPTION1({
      GATE: () => !glued && (this.next() === t.Percent || build.isUnit(this.LA(1).image)),
      DEF: () => {
        unit = this.SUBRULE1(this.unit);
      },
    });
    this.OPTION2({
      // Only without blanks: `10 V/ms` is a slope, `10 V / ms` divides by a value named ms.
      GATE: () =>
        unit !== undefined &&
        touches(this.LA(0), this.LA(1)) &&
        touches(this.LA(1), this.LA(2)) &&
        build.isUnit(this.LA(2).image),
      DEF: () => {
        this.CONSUME(t.Slash);
        per = this.SUBRULE2(this.unit);
      },
    });
    return this.ACTION(() => build.numberWithUnit(digits, unit, per));
  });

  /** Sums and differences. */
  protected expression = this.inner("expression", () => this.chain(this.product, t.Plus, t.Minus));

  protected product = this.inner("product", () => this.chain(this.factor, t.Times, t.Slash));

  /** Operands with either of two signs between them, grouped from the left. */
  private chain(operand: ParserMethod<[], Expression>, one: TokenType, other: TokenType): Expression {
    let left = this.SUBRULE1(operand);
    this.MANY(() => {
      const sign = this.either(one, other);
      const right = this.SUBRULE2(operand);
      this.ACTION(() => {
        left = build.binary(left, sign, right);
      });
    });
    return left;
  }

  protected factor = this.inner("factor", (): Expression => {
    const minus = this.OPTION(() => this.CONSUME(t.Minus));
    const of = this.SUBRULE(this.operand);
    return this.ACTION(() =>
      minus ? ({ type: "negative", of, span: cover(placeOf(minus), of.span) } as const) : of,
    );
  });

  private readonly operands = {
    DEF: [
      { ALT: (): Expression => this.SUBRULE(this.quantity) },
      {
        ALT: (): Expression => {
          const found = this.SUBRULE(this.reference);
          return this.ACTION(() => ({ type: "name", reference: found, span: found.span }) as const);
        },
      },
      {
        ALT: (): Expression => {
          this.CONSUME(t.Open);
          const inside = this.SUBRULE(this.expression);
          this.CONSUME(t.Close);
          return inside;
        },
      },
    ],
    ERR_MSG: "a value",
    IGNORE_AMBIGUITIES: true,
  };

  protected operand = this.inner("operand", (): Expression => this.OR(this.operands));

  /** A value and its tolerance. */
  protected value = this.inner("value", (): Valued => {
    const value = this.SUBRULE(this.expression);
    const tolerance = this.OPTION(() => this.SUBRULE(this.tolerance));
    return this.ACTION(() => ({
      value,
      tolerance,
      span: build.stretch(value, tolerance),
    }));
  });

  protected tolerance = this.inner("tolerance", (): ToleranceClause => {
    return this.OR([
      {
        ALT: (): ToleranceClause => {
          const sign = this.CONSUME(t.PlusMinus);
          const amount = this.SUBRULE1(this.expression);
          return this.ACTION(() => ({
            below: amount,
            above: amount,
            span: cover(placeOf(sign), amount.span),
          }));
        },
      },
      {
        ALT: (): ToleranceClause => {
          const sign = this.CONSUME(t.Less);
          const below = this.SUBRULE1(this.operand);
          this.CONSUME(t.More);
          const above = this.SUBRULE2(this.operand);
          return this.ACTION(() => ({ below, above, span: cover(placeOf(sign), above.span) }));
        },
      },
    ]);
  });
}

function touches(a: IToken, b: IToken): boolean {
  return a.startLine === b.startLine && a.startColumn! + a.image.length === b.startColumn;
}
