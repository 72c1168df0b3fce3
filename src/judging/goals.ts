// Goals: checks, by name, for which a value is sought. A name means the check of the design as drawn, or else that of the one
// case that has it.
import { refusal } from "../base/diagnostic.js";
import { didYouMean } from "../base/nearest.js";
import { engineering } from "../base/quantity.js";
import { aimOf, type CheckSpec, type Design, type FindSpec } from "../design/design.js";
import { casesWith } from "../design/finds.js";
import { headingOf, shownUnit } from "../design/heading.js";

/** A check that is a goal. */
export interface Goal {
  readonly spec: CheckSpec;
  /** The case it belongs to; empty for the design as drawn. */
  readonly case: string;
  /** The value sought, SI: what `is` names, the middle of `between`, the bound of `below` and `above`. */
  readonly aim: number;
}

/**
 * The goals of these names.
 * @throws DesignError `unknown-check` or `ambiguous-goal`
 */
export function goalsOf(design: Design, names: readonly string[]): Goal[] {
  return names.map((name) => {
    const where = casesWith(name, design);
    if (where.length === 1) return goalOf(design, { check: name, case: where[0] });
    if (where.length > 1) {
      const cases = where.map((one) => `"${one}"`).join(" and ");
      throw refusal("ambiguous-goal", `a check called "${name}" stands in the cases ${cases}`);
    }
    const known = [design, ...design.cases].flatMap((d) => d.checks.map((c) => c.name));
    throw refusal("unknown-check", `no check is called "${name}"`, didYouMean(name, known, '"'));
  });
}

/** The goal that a `find` of this design names. */
export function goalOf(design: Design, { check, case: name }: FindSpec["goals"][number]): Goal {
  return goalsIn(caseOf(design, name)).find((goal) => goal.spec.name === check)!;
}

/** All checks of a design, or of one of its cases, as goals. */
export function goalsIn({ checks, caseName }: Design): Goal[] {
  return checks.map((spec) => ({ spec, case: caseName, aim: aimOf(spec) }));
}

/**
 * The value to aim for: the aim, but for a single bound a little inside it, since a solution to within `small` may lie on either
 * side, and the check must pass. SI.
 */
export function sought({ aim, spec: { limit } }: Goal, small: number): number {
  if (limit.low === undefined) return aim - 2 * small;
  return limit.high === undefined ? aim + 2 * small : aim;
}

export function caseOf(design: Design, name: string): Design {
  return name === design.caseName ? design : design.cases.find((c) => c.caseName === name)!;
}

/** A measured value of a goal in words; shares in per cent. */
export function goalText({ spec, case: name }: Goal, value: number): string {
  return engineering(value, shownUnit(headingOf(spec, name)), 5);
}
