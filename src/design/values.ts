// Turns expressions into exact quantities with dimensions, looking names up in a scope. Every mistake is reported at
// its place and gives undefined, so that it is reported once and the rest of the text is still read.

import type { Report } from "../base/diagnostic.js";
import { type Dimension, dimension, nameOf, sameDimension, unitOf } from "../base/dimension.js";

import { type Fraction, toNumber, zero } from "../base/fraction.js";
import { nearest } from "../base/nearest.js";
import {
  engineering,
  product,
  type Quantity,
  quantity,
  quotient,
  readLetterCode,
  readNumber,
  readUnit,
  show,
} from "../base/quantity.js";
import type { Span } from "../base/span.js";
import { inRange, type Range, rangeHint, rangeText } from "../parts/range.js";
import type { Expression, Reference, ToleranceClause, Valued } from "../syntax/tree.js";
import type { Amount } from "./design.js";

export interface Names {
  /** The value of a name; undefined if there is none or it is wrong itself (`known` tells which). */
  value(name: string): Amount | undefined;
  known(name: string): boolean;
  full(name: string): string;
  all(): readonly string[];
}

/** Most digits of an exact number's numerator or denominator: far more than a design needs, few enough to be quick. */
const mostDigits = 1000;
const tooLarge = 10n ** BigInt(mostDigits);
const isLong = ({ n, d }: Fraction): boolean => n >= tooLarge || d >= tooLarge;

/** Quantities by their words: a text writes a few of them thousands of times. */
const written = new Map<string, Quantity>();
const mostWritten = 4096;

/** The tolerance of a value either way, and the named value that it follows. */
type Margins = { readonly below: Fraction; readonly above: Fraction; readonly follows?: string };

/** Reads expressions in one scope. */
export class ValueReader {
  constructor(
    private readonly names: Names,
    readonly report: Report,
  ) {}

  quantity(e: Expression): Quantity | undefined {
    switch (e.type) {
      case "number":
        return this.number(e);
      case "name":
        return this.name(e.reference);
      case "negative": {
        const of = this.quantity(e.of);
        return of && quantity(of.value.neg(), of.dimension);
      }
      case "binary":
        return this.binary(e);
    }
  }

  /** An expression that must have a dimension and lie in a range. */
  fraction(e: Expression, dim: Dimension, what: string, range: Range = "any"): Fraction | undefined {
    const q = this.quantity(e);
    return q && this.fits(q, dim, what, range, e.span) ? q.value : undefined;
  }

  /** A value with its tolerance. */
  amount(v: Valued, dim: Dimension | undefined, what: string, range: Range = "any"): Amount | undefined {
    const q = this.quantity(v.value);
    if (!q || (dim && !this.fits(q, dim, what, range, v.value.span))) return undefined;
    const own = v.tolerance ? this.tolerance(v.tolerance, q) : this.inherited(v.value, q);
    if (!own) return undefined;
    // Most values have no tolerance, and differences of fractions are slow.
    const low = own.below === zero ? q.value : q.value.sub(own.below);
    const high = own.above === zero ? q.value : q.value.add(own.above);
    // Zero has a positive sign in the rational library.
    const beneath = range === "positive" && (low.s < 0n || low.n === 0n);
    if (beneath || (dim && !inRange(high, range)))
      return this.report.error(
        "tolerance-range",
        `with its tolerance ${what} is not ${rangeText[range]}`,
        v.span,
        {
          hint: "make the tolerance smaller",
        },
      );
    return {
      value: q.value,
      low,
      high,
      dimension: q.dimension,
      span: v.span,
      follows: own.follows,
    };
  }

  /** An amount that was set from outside, if it lies in a range; otherwise reports it. */
  allowed(amount: Amount, what: string, range: Range): Amount | undefined {
    if (inRange(amount.value, range)) return amount;
    const shown = show(quantity(amount.value, amount.dimension));
    return this.report.error(
      "out-of-range",
      `${what} is ${shown}, allowed is ${rangeText[range]}`,
      amount.span,
      {
        hint: rangeHint(range),
      },
    );
  }

  // A lone name passes its tolerance on; arithmetic does not.
  private inherited(e: Expression, q: Quantity): Margins {
    if (e.type === "name") {
      const name = pathText(e.reference);
      const named = this.names.value(name);
      if (named) {
        const follows = named.follows ?? this.names.full(name);
        return { below: q.value.sub(named.low), above: named.high.sub(q.value), follows };
      }
    }
    return { below: zero, above: zero };
  }

  private tolerance(t: ToleranceClause, of: Quantity): Margins | undefined {
    const side = (e: Expression): Fraction | undefined => {
      const q = this.quantity(e);
      if (!q) return undefined;
      if (q.value.s < 0n)
        return this.report.error("tolerance-range", "a tolerance is zero or more", e.span, {
          hint: "write it without a sign behind '+-'",
        });
      if (sameDimension(q.dimension, dimension.number)) {
        if (q.value.gt(1))
          return this.report.error(
            "tolerance-range",
            `a tolerance of ${show(q)} of the value is more than 100 %`,
            e.span,
            q.value.lte(100) ? { hint: `${show(q)} per cent are written '${show(q)} %'` } : {},
          );
        if (of.value.n === 0n && q.value.n !== 0n) {
          const unit = unitOf(of.dimension);
          return this.report.error(
            "tolerance-range",
            `${engineering(toNumber(q.value), "%")} of nothing is nothing`,
            e.span,
            {
              hint: unit === "" ? "the value is zero" : `the value is zero: give its tolerance in ${unit}`,
            },
          );
        }
        return q.value.mul(of.value.abs());
      }
      if (sameDimension(q.dimension, of.dimension)) return q.value;
      return this.report.error(
        "wrong-dimension",
        `the tolerance is ${nameOf(q.dimension)}, the value ${nameOf(of.dimension)}`,
        e.span,
        { hint: "give it in per cent or in the unit of the value" },
      );
    };
    const below = side(t.below);
    const above = side(t.above);
    return below && above && { below, above };
  }

  private fits(q: Quantity, dim: Dimension, what: string, range: Range, span: Span): boolean {
    if (!sameDimension(q.dimension, dim)) {
      this.report.error(
        "wrong-dimension",
        `${what} must be ${nameOf(dim)}, but ${show(q)} is ${nameOf(q.dimension)}`,
        span,
        { hint: unitHint(dim) },
      );
      return false;
    }
    if (!inRange(q.value, range)) {
      this.report.error("out-of-range", `${what} is ${show(q)}, allowed is ${rangeText[range]}`, span, {
        hint: rangeHint(range),
      });
      return false;
    }
    return true;
  }

  private number(e: Expression & { type: "number" }): Quantity | undefined {
    const { digits, unit, per } = e;
    const words = `${digits.text} ${unit?.text} ${per?.text}`;
    const before = written.get(words);
    if (before) return before;
    if (!unit) {
      const code = readLetterCode(digits.text);
      if (code) return code;
    }
    const read = readNumber(digits.text);
    if (!read.ok) {
      const { code, message, hint, meant } = read;
      return this.report.error(code, message, digits.span, {
        hint,
        ...(meant !== undefined && { fix: { span: digits.span, text: meant } }),
      });
    }
    let q = quantity(read.value, dimension.number);
    const known = unit && readUnit(unit.text);
    if (known) q = product(q, known);
    const below = per && readUnit(per.text);
    if (below) q = quotient(q, below);
    if (written.size >= mostWritten) written.clear();
    written.set(words, q);
    return q;
  }

  private name(reference: Reference): Quantity | undefined {
    const name = pathText(reference);
    const found = this.names.value(name);
    if (found) return quantity(found.value, found.dimension);
    if (this.names.known(name) || this.report.isLost(name)) return undefined;
    const code = readLetterCode(name);
    if (code) return code;
    return this.report.error("unknown-value", `no value is called '${name}'`, reference.span, () => {
      const near = nearest(name, this.names.all());
      return near
        ? { hint: `did you mean '${near}'?`, fix: { span: reference.span, text: near } }
        : faults.has(name)
          ? { hint: `of a part in a case '${name}' is said without 'is', as in 'guard ${name}'` }
          : { hint: `name it with 'given ${name} = ...'` };
    });
  }

  private binary(e: Expression & { type: "binary" }): Quantity | undefined {
    const left = this.quantity(e.left);
    const right = this.quantity(e.right);
    if (!left || !right) return undefined;
    const found = this.combined(e, left, right);
    if (!found || !isLong(found.value)) return found;
    const message = `exact to the last, this has more than ${mostDigits} digits`;
    return this.report.error("number-range", message, e.span, { hint: "write it as a number" });
  }

  private combined(
    e: Expression & { type: "binary" },
    left: Quantity,
    right: Quantity,
  ): Quantity | undefined {
    if (e.operator === "*") return product(left, right);
    if (e.operator === "/") {
      if (right.value.n !== 0n) return quotient(left, right);
      return this.report.error("division-by-zero", "the divisor is zero", e.right.span, {
        hint: "divide by another value",
      });
    }
    if (!sameDimension(left.dimension, right.dimension)) {
      const words = e.operator === "+" ? ["added", "to"] : ["taken", "from"];
      return this.report.error(
        "wrong-dimension",
        `${nameOf(right.dimension)} cannot be ${words[0]} ${words[1]} ${nameOf(left.dimension)}`,
        e.span,
        { hint: "only what is in one unit can be added" },
      );
    }
    const value = e.operator === "+" ? left.value.add(right.value) : left.value.sub(right.value);
    return quantity(value, left.dimension);
  }
}

export function namesOf({ value, tolerance }: Valued, into: string[]): void {
  namesIn(value, into);
  if (!tolerance) return;
  namesIn(tolerance.below, into);
  if (tolerance.above !== tolerance.below) namesIn(tolerance.above, into);
}

function namesIn(e: Expression, into: string[]): void {
  if (e.type === "name") into.push(pathText(e.reference));
  else if (e.type === "negative") namesIn(e.of, into);
  else if (e.type === "binary") {
    namesIn(e.left, into);
    namesIn(e.right, into);
  }
}

/** A reference as one word, dots included. */
export function pathText(reference: Reference): string {
  return reference.path.map((word) => word.text).join(".");
}

/** What to do about a value of another dimension. */
export function unitHint(dim: Dimension): string | undefined {
  const unit = unitOf(dim);
  return unit === "" ? "write a plain number or a share in %" : `give it in ${unit === "Ω" ? "ohm" : unit}`;
}

/** What a case says of a part or a supply in place of a value. */
const faults: ReadonlySet<string> = new Set(["open", "short", "dead"]);
