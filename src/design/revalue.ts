// A design with other values, everything else as in its text. The values are exact, in SI units, by full name: of a named
// value (`timing`, `line.timing`), of a part (`line.hold`) or of one of its properties (`line.feed.headroom`). The design is
// put together anew from its text, cases included, so that a named value changes all that is made of it; what was set before
// stays set. A tolerance keeps its share of the value. A value that a case sets stays, unless the setting is a function: that
// is then given the case's value.
import { DesignError, Report, refusal } from "../base/diagnostic.js";
import type { Fraction } from "../base/fraction.js";
import { didYouMean } from "../base/nearest.js";
import { Recall } from "../base/recall.js";
import type { Range } from "../parts/range.js";
import type { Amount, Design, Settings } from "./design.js";

/** A number in a design: its present amount, and the range that its part allows. */
export interface SettableValue {
  readonly name: string;
  readonly amount: Amount;
  /** `any` for a named value, though the parts that use it may allow less. */
  readonly range: Range;
}

/** Every number that can be set in a design, by its full name: named values first, then parts, in the order of the text. */
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

/** Cached per design: studies ask the same one for other values by the thousand. */
const known = new Recall<Design, undefined, ReadonlySet<string>>(() => true, 1);

/**
 * The design with other values.
 * @param cases names of the cases to put together as well, each of which takes as long again; all of them unless given
 * @throws DesignError `unknown-value` for a name that stands for no number, or what is wrong with the resulting design
 */
export function revalued(design: Design, values: Settings, cases?: readonly string[]): Design {
  const names = known.of(design, undefined, () => new Set(settableValues(design).keys()));
  for (const name of values.keys()) if (!names.has(name)) throw unknownValue(name, [...names]);
  const report = new Report();
  const made = design.remake(values, report, cases);
  if (report.failed) throw new DesignError(report.diagnostics);
  return made;
}

/** An amount with another value; its tolerance keeps its share, and it no longer follows a named value. */
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
