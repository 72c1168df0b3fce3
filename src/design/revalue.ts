// A design with other values, everything else as its text says.
// Takes a design, and exact values in SI units by full name: a named value (`timing`, `line.timing`), a part for its value
// (`line.hold`) or one of its properties (`line.feed.headroom`). Gives the design put together anew from its text, cases
// and all, so that a named value moves all that is made of it as one; what was set before stays set. Always: a tolerance
// keeps its share of the value; a value that a case sets is the case's, unless the setting is made of what is written, which
// is then what the case says.
import { DesignError, Report, refusal } from "../base/diagnostic.js";
import type { Fraction } from "../base/fraction.js";
import { didYouMean } from "../base/nearest.js";
import { Recall } from "../base/recall.js";
import type { Range } from "../parts/range.js";
import type { Amount, Design, Settings } from "./design.js";

/** A value of a design that is a number: what it is now, and what its part allows. */
export interface SettableValue {
  readonly name: string;
  readonly amount: Amount;
  /** `any` for a named value: the parts that are made of it may allow less. */
  readonly range: Range;
}

/** Every number that can be set in a design by its full name, in the order of the text, named values first. */
export function settableValues(design: Pick<Design, "givens" | "parts">): Map<string, SettableValue> {
  const found = new Map<string, SettableValue>();
  const meet = (name: string, amount: Amount, range: Range) => {
    if (!found.has(name)) found.set(name, { name, amount, range });
  };
  for (const [name, amount] of design.givens) meet(name, amount, "any");
  for (const part of design.parts) {
    if (part.value && !part.wave) meet(part.name, part.value, part.kind.value?.range ?? "any");
    for (const [word, amount] of part.amounts) {
      const range = part.kind.properties.find((p) => p.word === word)?.range ?? "any";
      meet(`${part.name}.${word}`, amount, range);
    }
  }
  return found;
}

/** A design is asked for other values by the thousand. */
const known = new Recall<Design, undefined, ReadonlySet<string>>(() => true, 1);

/**
 * The design with other values.
 * @param cases names of the cases to put together as well, which takes as long for each; all of them unless given
 * @throws DesignError `unknown-value` for a name that stands for no number, or what is wrong with the design that it makes
 */
export function revalued(design: Design, values: Settings, cases?: readonly string[]): Design {
  const names = known.of(design, undefined, () => new Set(settableValues(design).keys()));
  for (const name of values.keys()) if (!names.has(name)) throw unknownValue(name, [...names]);
  const report = new Report();
  const made = design.remake(values, report, cases);
  if (report.failed) throw new DesignError(report.diagnostics);
  return made;
}

/** An amount with another value; its tolerance keeps its share, and it follows no other any more. */
export function withValue({ follows: _, ...amount }: Amount, value: Fraction): Amount {
  const grown = (bound: Fraction) =>
    amount.value.n === 0n ? value.add(bound) : bound.mul(value.div(amount.value));
  const [low, high] = [grown(amount.low), grown(amount.high)];
  const [least, most] = low.lte(high) ? [low, high] : [high, low];
  return { ...amount, value, low: least, high: most };
}

function unknownValue(name: string, known: readonly string[]): DesignError {
  return refusal("unknown-value", `no value of the design is called '${name}'`, didYouMean(name, known));
}
