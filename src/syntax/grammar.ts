// The grammar of the design language: parser rules that build the tree as they read. This file has the statements. The language
// reference and its pictures are generated from these rules. A statement that cannot be read is left out and reading resumes
// after it, so each mistaken statement makes one diagnostic. Rules recurse only through brackets and blocks, whose depth
// `nesting` has limited.
import { EOF, type IToken, isRecognitionException, type TokenType } from "chevrotain";
import { cover } from "../base/span.js";
import { BenchClauses } from "./benchclauses.js";
import { expectedOf, provider, type Trouble } from "./findings.js";
import { placeOf } from "./line.js";
import { Lookahead } from "./lookahead.js";
import * as t from "./tokens.js";
import type { MeasureClause, Statement, StatementOf, Title } from "./tree.js";

const w = t.keyword;
type Header = Pick<StatementOf<"block">, "name" | "places" | "span">;

class Grammar extends BenchClauses {
  private statements: Statement[] = [];

  constructor() {
    // The tests validate the rules.
    super({
      maxLookahead: 1,
      skipValidations: true,
      errorMessageProvider: provider,
      lookaheadStrategy: new Lookahead({ maxLookahead: 1 }),
    });
    this.performSelfAnalysis();
  }

  /** Reads the statements of a text. */
  parse(tokens: IToken[]): { statements: Statement[]; troubles: Trouble[] } {
    this.statements = [];
    const { troubles } = this.reading(tokens, () => this.design());
    const { statements } = this;
    this.statements = [];
    return { statements, troubles };
  }

  /** Reads a measured phrase from the tokens of a line that holds nothing else. */
  parseMeasured(tokens: IToken[]): { measured?: MeasureClause; troubles: Trouble[] } {
    const { found, troubles } = this.reading(tokens, () => this.measured());
    // After a complete phrase the token that ends the line is left over: that is no mistake.
    const left = troubles.filter(({ token }) => !found || token.tokenType !== t.Newline);
    return left.length === 0 ? { measured: found, troubles: left } : { troubles: left };
  }

  private reading<T>(tokens: IToken[], rule: () => T): { found: T; troubles: Trouble[] } {
    this.input = tokens;
    this.troubles = [];
    const found = rule();
    const troubles: Trouble[] = this.errors.map(({ token, message }) => ({
      token,
      expected: expectedOf(message),
    }));
    const result = { found, troubles: troubles.concat(this.troubles) };
    this.input = [];
    return result;
  }

  private design = this.RULE("design", () => {
    this.MANY(() => {
      const statement = this.guarded(() => this.SUBRULE(this.statement));
      this.CONSUME(t.Newline);
      this.ACTION(() => statement && this.statements.push(statement));
    });
  });

  /** The result of a rule; undefined if it stops at a mistake, and reading resumes at the end of the line. */
  private guarded<T>(rule: () => T): T | undefined {
    try {
      return rule();
    } catch (error) {
      if (!isRecognitionException(error as Error)) throw error;
      while (this.next() !== t.Newline && this.next() !== EOF) this.consume(0, this.next());
      return undefined;
    }
  }

  // Made once rather than for each statement.
  private readonly statementsOf = {
    DEF: [
      { ALT: () => this.SUBRULE(this.title) },
      { ALT: () => this.SUBRULE(this.bring) },
      { ALT: () => this.SUBRULE(this.given) },
      { ALT: () => this.SUBRULE(this.supply) },
      { ALT: () => this.SUBRULE(this.signal) },
      { ALT: () => this.SUBRULE(this.block) },
      { ALT: () => this.SUBRULE(this.use) },
      { ALT: () => this.SUBRULE(this.run) },
      { ALT: () => this.SUBRULE(this.case) },
      { ALT: () => this.SUBRULE(this.check) },
      { ALT: () => this.SUBRULE(this.capture) },
      { ALT: () => this.SUBRULE(this.find) },
      { ALT: () => this.SUBRULE(this.read) },
      { ALT: () => this.SUBRULE(this.show) },
      { ALT: () => this.SUBRULE(this.testpoint) },
      { ALT: () => this.SUBRULE(this.part) },
    ],
    IGNORE_AMBIGUITIES: true,
  };

  private statement = this.inner("statement", (): Statement | undefined => {
    const found = this.OR<Statement | undefined>(this.statementsOf);
    this.ACTION(() => this.finish());
    return found;
  });

  // Checked here rather than by the repetition in `design`, so that the error belongs to the statement.
  private finish(): void {
    if (this.next() !== t.Newline) throw this.refuse("the end of the statement", [","]);
  }

  private title = this.inner("title", (): Statement => {
    const first = this.CONSUME(w.title);
    const text = this.SUBRULE(this.quoted);
    return this.ACTION(() => ({ type: "title", text: text.text, span: cover(placeOf(first), text.span) }));
  });

  private bring = this.inner("bring", (): Statement => {
    const first = this.CONSUME(w.bring);
    const path = this.SUBRULE(this.quoted);
    return this.ACTION(() => ({ type: "bring", path, span: cover(placeOf(first), path.span) }));
  });

  private given = this.inner("given", (): Statement => {
    const found = this.namedValue(w.given, "a name for the value");
    return this.ACTION(() => ({ type: "given", ...found }));
  });

  private supply = this.inner("supply", (): Statement => {
    const found = this.namedValue(w.supply, "a name for the supply");
    return this.ACTION(() => ({ type: "supply", ...found }));
  });

  private namedValue(word: TokenType, what: string) {
    const first = this.CONSUME(word);
    const name = this.SUBRULE(this.name, { ARGS: [what] });
    this.CONSUME(t.Equals);
    const amount = this.SUBRULE(this.value);
    const properties = this.SUBRULE(this.properties);
    return this.ACTION(() => {
      const span = cover(placeOf(first), (properties.at(-1) ?? amount).span);
      return { name, amount, properties, span };
    });
  }

  private signal = this.inner("signal", (): Statement => {
    const first = this.CONSUME(w.signal);
    const name = this.SUBRULE(this.name, { ARGS: ["a name for the signal"] });
    this.CONSUME(t.Equals);
    const wave = this.SUBRULE(this.waveform);
    return this.ACTION(() => ({ type: "signal", name, wave, span: cover(placeOf(first), wave.span) }));
  });

  private block = this.inner("block", (): Statement | undefined => {
    const body: Statement[] = [];
    const header = this.guarded(() => this.SUBRULE(this.header));
    this.CONSUME1(t.Newline);
    this.MANY({
      GATE: () => this.next() !== w.end,
      DEF: () => {
        const statement = this.guarded(() => this.SUBRULE(this.statement));
        this.CONSUME2(t.Newline);
        this.ACTION(() => statement && body.push(statement));
      },
    });
    const end = this.CONSUME(w.end);
    return this.ACTION(() => header && { type: "block", ...header, body, end: placeOf(end) });
  });

  private header = this.inner("header", (): Header => {
    const first = this.CONSUME(w.block);
    const name = this.SUBRULE(this.name, { ARGS: ["a name for the block"] });
    const places =
      this.OPTION(() => {
        this.CONSUME(w.joins);
        return this.listed("a place", () => this.SUBRULE2(this.name, { ARGS: ["a place"] }));
      }) ?? [];
    return this.ACTION(() => {
      this.finish();
      return { name, places, span: cover(placeOf(first), (places.at(-1) ?? name).span) };
    });
  });

  private use = this.inner("use", (): Statement => {
    const first = this.CONSUME(w.use);
    const block = this.SUBRULE1(this.name, { ARGS: ["the name of a block"] });
    this.CONSUME(w.as);
    const name = this.SUBRULE2(this.name, { ARGS: ["a name for this use of the block"] });
    const places =
      this.OPTION1(() => {
        this.CONSUME(w.joins);
        return this.SUBRULE(this.references);
      }) ?? [];
    const values =
      this.OPTION2(() => {
        this.CONSUME(w.with);
        return this.listed("a value of the block", () => {
          const given = this.SUBRULE3(this.name, { ARGS: ["a value of the block"] });
          const amount = this.SUBRULE(this.value);
          return this.ACTION(() => ({ name: given, amount, span: cover(given.span, amount.span) }));
        });
      }) ?? [];
    return this.ACTION(() => {
      const span = cover(placeOf(first), (values.at(-1) ?? places.at(-1) ?? name).span);
      return { type: "use", block, name, places, values, span };
    });
  });

  private run = this.inner("run", (): Statement => {
    const first = this.CONSUME(w.run);
    this.CONSUME(w.for);
    const length = this.SUBRULE(this.expression);
    const start = this.OPTION(() => {
      this.CONSUME(t.Comma);
      this.CONSUME(w.from);
      return this.SUBRULE(this.word, { ARGS: ["how the run starts"] });
    });
    return this.ACTION(() => {
      const span = cover(placeOf(first), (start ?? length).span);
      return { type: "run", length, start, span };
    });
  });

  private case = this.inner("case", (): Statement => {
    const first = this.CONSUME(w.case);
    const name = this.SUBRULE(this.quoted);
    const changes = this.listed("what the case changes", () => this.SUBRULE(this.change));
    return this.ACTION(() => {
      const span = cover(placeOf(first), changes.at(-1)!.span);
      return { type: "case", name, changes, span };
    });
  });

  private check = this.inner("check", (): Statement => {
    const first = this.CONSUME(w.check);
    const name = this.SUBRULE(this.quoted);
    const measured = this.SUBRULE(this.measured);
    const limit = this.SUBRULE(this.limit);
    const scope = this.OPTION(() => this.SUBRULE(this.scope));
    return this.ACTION(() => {
      const span = cover(placeOf(first), limit.span);
      return { type: "check", name, ...measured, limit, scope, span };
    });
  });

  private find = this.inner("find", (): Statement => {
    const first = this.CONSUME(w.find);
    const goals: Title[] = [];
    const unknowns = this.listed("a value to find", () => this.SUBRULE(this.unknown));
    this.CONSUME(w.for);
    this.AT_LEAST_ONE_SEP2({
      SEP: t.Comma,
      ERR_MSG: "the name of a check",
      DEF: () => {
        const goal = this.SUBRULE(this.quoted);
        this.ACTION(() => goals.push(goal));
      },
    });
    return this.ACTION(() => {
      const span = cover(placeOf(first), goals.at(-1)!.span);
      return { type: "find", unknowns, goals, span };
    });
  });

  private show = this.inner("show", (): Statement => {
    const first = this.CONSUME(w.show);
    const name = this.SUBRULE(this.quoted);
    const measured = this.SUBRULE(this.measured);
    const last = this.LA(0);
    const scope = this.OPTION(() => {
      this.CONSUME(w.in);
      return this.SUBRULE(this.whichCase);
    });
    return this.ACTION(() => {
      const span = cover(placeOf(first), placeOf(last));
      return { type: "show", name, ...measured, scope, span };
    });
  });
}

let made: Grammar | undefined;

/** The parser. It keeps nothing from one text to the next. */
export function grammar(): Grammar {
  made ??= new Grammar();
  return made;
}
