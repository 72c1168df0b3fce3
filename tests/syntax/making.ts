// Random trees for the laws of the formatter. What always holds: each is one that a text can give, so names avoid
// nothing (every word of the language is among them) and only what no text can say is left out.
import * as fc from "fast-check";
import { keywords } from "../../src/syntax/tokens.js";
import type {
  Change,
  Expression,
  LimitClause,
  Property,
  PropertyValue,
  Reference,
  Statement,
  Tree,
  Valued,
  Waveform,
  Word,
} from "../../src/syntax/tree.js";

const span = { line: 1, column: 1, length: 1 };
const word = (text: string): Word => ({ text, span });
const plain = fc.constantFrom("ramp", "gate", "plus12", "x", "Röhre", "管", "__proto__", "V", "us", "e9");
const lead = fc.oneof(plain, fc.constantFrom(...keywords)).map(word);
const anyName = fc.oneof({ weight: 6, arbitrary: lead }, fc.constantFrom("0", "2nd", "1e3").map(word));
const text = fc
  .string({ unit: fc.constantFrom("a", " ", "#", ",", "é", "ℵ", "-", "<") })
  .map((t) => t.normalize("NFC"));
const quoted = text.map((t) => ({ text: t, span }));

const reference: fc.Arbitrary<Reference> = fc
  .array(anyName, { minLength: 1, maxLength: 3 })
  .map((path) => ({ path, span }));
// In an expression what begins with a digit is a number.
const operandReference: fc.Arbitrary<Reference> = fc
  .tuple(lead, fc.array(anyName, { maxLength: 2 }))
  .map(([first, rest]) => ({ path: [first, ...rest], span }));

const amount = fc.constantFrom("0", "5", "4.7", "1e-9", "4K7", "15n", "0x10").map(word);
const withUnit = fc.constantFrom("0", "5", "4.7", "1e-9").map(word);
const unit = fc.constantFrom("V", "mA", "%", "us", "kohm", "Ω", "deg", "µF").map(word);
const number: fc.Arbitrary<Expression> = fc.oneof(
  amount.map((digits) => ({ type: "number" as const, digits, span })),
  fc.tuple(withUnit, unit).map(([digits, u]) => ({ type: "number" as const, digits, unit: u, span })),
  withUnit.map((digits) => ({ type: "number" as const, digits, unit: word("V"), per: word("ms"), span })),
);
const { expression } = fc.letrec<{ expression: Expression }>((tie) => ({
  expression: fc.oneof(
    { maxDepth: 4, withCrossShrink: true },
    number,
    operandReference.map((r) => ({ type: "name" as const, reference: r, span })),
    tie("expression").map((of) => ({ type: "negative" as const, of, span })),
    fc
      .tuple(fc.constantFrom("+", "-", "*", "/"), tie("expression"), tie("expression"))
      .map(
        ([operator, left, right]) => ({ type: "binary" as const, operator, left, right, span }) as Expression,
      ),
  ),
}));

const valued: fc.Arbitrary<Valued> = fc.oneof(
  expression.map((value) => ({ value, span })),
  fc
    .tuple(expression, expression)
    .map(([value, b]) => ({ value, tolerance: { below: b, above: b, span }, span })),
  fc
    .tuple(expression, expression, expression)
    .map(([value, below, above]) => ({ value, tolerance: { below, above, span }, span })),
);

const spoken: fc.Arbitrary<PropertyValue> = fc.oneof(
  fc
    .tuple(valued, fc.option(lead, { nil: undefined }))
    .map(([a, how]) => ({ type: "amount" as const, amount: a, ...(how && { how }) })),
  fc
    .tuple(reference, fc.constantFrom("above" as const, "below" as const), expression)
    .map(([place, side, level]) => ({ type: "while" as const, place, side, level })),
  fc.tuple(expression, expression).map(([from, to]) => ({ type: "times" as const, from, to })),
  expression.map((from) => ({ type: "times" as const, from })),
  expression.map((to) => ({ type: "times" as const, to })),
);
const bare: PropertyValue = { type: "bare" };
const property: fc.Arbitrary<Property> = fc
  .tuple(lead, fc.oneof(spoken, fc.constant(bare)))
  .map(([w, value]) => ({ word: w, value, span }));
const properties = fc.array(property, { maxLength: 3 });

const waveform: fc.Arbitrary<Waveform> = fc.oneof(
  fc
    .tuple(fc.constantFrom("pulse" as const, "sine" as const), expression, expression, properties)
    .map(([type, low, high, p]) => ({ type, low, high, properties: p, span })),
  fc
    .tuple(lead, fc.constantFrom("625/50", "525/59.94").map(word), expression, expression, properties)
    .map(([which, system, low, high, p]) => ({
      type: "sync" as const,
      which,
      system,
      low,
      high,
      properties: p,
      span,
    })),
  fc
    .tuple(
      fc.constantFrom("625/50", "525/60").map(word),
      fc.constantFrom("crosshatch", "flat", "colour bars", "picture").map(word),
      fc.option(fc.constantFrom("robin", "").map(word), { nil: undefined }),
      properties,
    )
    .map(([system, pattern, picture, p]) => ({
      type: "video" as const,
      system,
      pattern,
      ...(picture && { picture }),
      properties: p,
      span,
    })),
  fc
    .tuple(expression, properties)
    .map(([size, p]) => ({ type: "noise" as const, size, properties: p, span })),
  fc
    .tuple(fc.array(fc.tuple(expression, expression), { minLength: 1, maxLength: 3 }), properties)
    .map(([points, p]) => ({
      type: "path" as const,
      points: points.map(([level, time]) => ({ level, time, span })),
      properties: p,
      span,
    })),
);

const change: fc.Arbitrary<Change> = fc
  .tuple(reference, anyName, fc.option(valued, { nil: undefined }), fc.option(expression, { nil: undefined }))
  .map(([target, verb, a, at]) => ({ target, verb, ...(a && { amount: a }), ...(at && { at }), span }));
// What stands behind a waveform's commas belongs to it, so it ends a case.
const lastChange: fc.Arbitrary<Change> = fc.oneof(
  change,
  fc.tuple(reference, anyName, waveform).map(([target, verb, wave]) => ({ target, verb, wave, span })),
);

const limit: fc.Arbitrary<LimitClause> = fc.oneof(
  valued.map((a) => ({ type: "is" as const, amount: a, span })),
  fc
    .tuple(fc.constantFrom("above" as const, "below" as const), expression)
    .map(([type, level]) => ({ type, level, span })),
  fc.tuple(expression, expression).map(([low, high]) => ({ type: "between" as const, low, high, span })),
);
const maybe = <T>(one: fc.Arbitrary<T>) => fc.option(one, { nil: undefined });
const window = fc.oneof(
  fc.tuple(maybe(reference), maybe(expression), maybe(expression)).map(([each, after, before]) => ({
    ...(each && { each }),
    ...(after && { after }),
    ...(before && { before }),
  })),
  fc
    .tuple(reference, expression, expression, maybe(expression), maybe(expression))
    .map(([each, from, to, after, before]) => ({
      each,
      within: { from, to },
      ...(after && { after }),
      ...(before && { before }),
    })),
);
const through = fc
  .tuple(maybe(fc.constantFrom("rising", "falling").map(word)), expression)
  .map(([direction, level]) => ({ ...(direction && { direction }), level }));
const scope = fc.oneof(
  fc.constant({ type: "every" as const }),
  quoted.map((name) => ({ type: "case" as const, name })),
);

const part: fc.Arbitrary<Statement> = fc
  .tuple(
    plain.map(word),
    anyName,
    reference,
    reference,
    fc.oneof(
      valued.chain((a) => properties.map((p) => ({ amount: a, properties: p }))),
      waveform.map((wave) => ({ wave, properties: [] })),
      fc.tuple(property, properties).map(([one, more]) => ({ properties: [one, ...more] })),
      fc.constant({ properties: [] }),
    ),
  )
  .map(([kind, name, tail, head, rest]) => ({ type: "part", kind, name, tail, head, ...rest, span }));

const flat: fc.Arbitrary<Statement> = fc.oneof(
  { weight: 4, arbitrary: part },
  text.map((t) => ({ type: "title" as const, text: t, span })),
  quoted.map((path) => ({ type: "bring" as const, path, span })),
  fc
    .tuple(fc.constantFrom("given" as const, "supply" as const), anyName, valued, properties)
    .map(([type, name, a, p]) => ({ type, name, amount: a, properties: p, span })),
  fc.tuple(anyName, waveform).map(([name, wave]) => ({ type: "signal" as const, name, wave, span })),
  fc
    .tuple(
      anyName,
      anyName,
      fc.array(reference, { maxLength: 3 }),
      fc.array(fc.tuple(anyName, valued), { maxLength: 3 }),
    )
    .map(([block, name, places, values]) => ({
      type: "use" as const,
      block,
      name,
      places,
      values: values.map(([n, a]) => ({ name: n, amount: a, span })),
      span,
    })),
  fc
    .tuple(expression, maybe(lead))
    .map(([length, start]) => ({ type: "run" as const, length, ...(start && { start }), span })),
  fc
    .tuple(quoted, fc.array(change, { maxLength: 2 }), lastChange)
    .map(([name, changes, last]) => ({ type: "case" as const, name, changes: [...changes, last], span })),
  fc
    .tuple(
      quoted,
      fc.array(
        lead.filter((w) => w.text !== "of"),
        { minLength: 1, maxLength: 2 },
      ),
      reference,
      maybe(expression),
      maybe(through),
      window,
      limit,
      maybe(scope),
    )
    .map(([name, measure, target, at, t, w, l, s]) => ({
      type: "check" as const,
      name,
      measure,
      target,
      ...(at && { at }),
      ...(t && { through: t }),
      window: w,
      limit: l,
      ...(s && { scope: s }),
      span,
    })),
  fc
    .tuple(
      fc.array(fc.tuple(reference, expression, expression, maybe(lead)), { minLength: 1, maxLength: 3 }),
      fc.array(quoted, { minLength: 1, maxLength: 3 }),
    )
    .map(([unknowns, goals]) => ({
      type: "find" as const,
      unknowns: unknowns.map(([target, from, to, series]) => ({
        target,
        from,
        to,
        ...(series && { series }),
        span,
      })),
      goals,
      span,
    })),
  fc.tuple(quoted, valued, maybe(scope)).map(([phrase, amount, s]) => ({
    type: "reading" as const,
    phrase,
    amount,
    ...(s && { scope: s }),
    span,
  })),
);

const { statement } = fc.letrec<{ statement: Statement }>((tie) => ({
  statement: fc.oneof(
    { maxDepth: 2, withCrossShrink: true },
    { weight: 5, arbitrary: flat },
    fc
      .tuple(anyName, fc.array(anyName, { maxLength: 3 }), fc.array(tie("statement"), { maxLength: 3 }))
      .map(([name, places, body]) => ({ type: "block" as const, name, places, body, span })),
  ),
}));

/** A whole tree. */
export const tree: fc.Arbitrary<Tree> = fc
  .array(statement, { minLength: 1, maxLength: 5 })
  .map((statements) => ({ statements, comments: [] }));

/** A tree without its places, to compare. */
export function bareTree(value: unknown): unknown {
  return JSON.parse(JSON.stringify(value, (key, one) => (key === "span" || key === "end" ? undefined : one)));
}
