// Sensitivity: how a measured value changes with each part's value. Central differences at one and at half a per cent,
// extrapolated (L. F. Richardson, Phil. Trans. Roy. Soc. A 210, 1911): the remaining truncation error is of fourth order, and the
// steps are wide enough to keep the error of the runs themselves small beside it. The difference between the extrapolation and
// the narrow step estimates the error.

import { asked } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { handed, handedText } from "../base/handed.js";
import type { Amount, Design, Setting } from "../design/design.js";
import { settableValues } from "../design/revalue.js";
import { evaluateGoals } from "../judging/evaluation.js";
import { caseOf, goalsOf } from "../judging/goals.js";
import { inRange } from "../parts/range.js";
import type { SimulateOptions } from "../simulation/options.js";

/** How one value affects what a check measures. */
export interface Sensitivity {
  /** Full name of the part, or of the named value; all parts that use a named value move with it. */
  readonly part: string;
  /** `value`, or the word of a property, e.g. `headroom`. */
  readonly of: string;
  /** The value as designed, SI. */
  readonly nominal: number;
  /** Its SI unit. */
  readonly unit: string;
  /** Change of the measured value per unit of this one: SI units of the one over those of the other. */
  readonly derivative: number;
  /** The same in relative terms: per cent of the measured value per per cent of this one. */
  readonly relative: number;
  /** How far the derivative may be off, in the same unit. */
  readonly doubt: number;
}

/** How to find sensitivities. */
export interface SensitivityOptions {
  /** Options for every run. */
  readonly simulate?: SimulateOptions;
  /** The wider of the two steps as a share of the value, 0.01 unless given. */
  readonly share?: number;
}

/**
 * Sensitivities of what a check measures to every value, largest relative one first: named values, and those of parts that are
 * not a named value themselves. Up to four runs per value.
 *
 * @category Values and tolerances
 * @example
 * ```ts
 * const [largest] = sensitivities(design, "fills the tube");
 * largest.part; // "timing"
 * largest.relative.toFixed(2); // "-1.00"
 * ```
 * @param check the name of a check of this design, or else of the one case that has it
 * @throws DesignError `unknown-check`, `ambiguous-goal`, or for invalid options of simulate
 */
export function sensitivities(
  design: Design,
  check: string,
  options: SensitivityOptions = {},
): Sensitivity[] {
  handed("design", design);
  handedText(check, "check");
  asked(options, { simulate: "object", share: "number" });
  const { simulate, share = 0.01 } = options;
  const [goal] = goalsOf(design, [check]);
  const measured = (values: ReadonlyMap<string, Setting>) =>
    evaluateGoals(design, [goal], values, { simulate })[0].result.measured;
  const middle = measured(new Map());
  const one = caseOf(design, goal.case);
  const whole = new Set([...one.givens.keys(), ...one.parts.map((p) => p.name)]);
  return [...settableValues(one).values()]
    .filter(({ amount }) => amount.follows === undefined && amount.value.n !== 0n)
    .map(({ name, amount, range }): Sensitivity => {
      const nominal = toNumber(amount.value);
      const at = (factor: number) => measured(new Map([[name, scaledBy(factor)]]));
      // At an end of the allowed range the slope is taken to one side only.
      const [up, down] = [1 + share, 1 - share].map((factor) => inRange(scaledBy(factor)(amount), range));
      const slope = (h: number) => {
        const [most, least] = [up ? at(1 + h) : middle, down ? at(1 - h) : middle];
        return (most - least) / ((Number(up) + Number(down)) * h * nominal);
      };
      const [wide, narrow] = [slope(share), slope(share / 2)];
      const derivative = up && down ? (4 * narrow - wide) / 3 : 2 * narrow - wide;
      const dot = whole.has(name) ? name.length : name.lastIndexOf(".");
      return {
        part: name.slice(0, dot),
        of: name.slice(dot + 1) || "value",
        nominal,
        unit: unitOf(amount.dimension),
        derivative,
        relative: (derivative * nominal) / middle,
        doubt: Math.abs(derivative - narrow),
      };
    })
    .sort((a, b) => Math.abs(b.relative) - Math.abs(a.relative));
}

// To nine decimal places: the factor is a share of the value, and an exact rational keeps the clock's divisors small.
function scaledBy(factor: number): (written: Amount) => Fraction {
  return ({ value }) => value.mul(ratio(BigInt(Math.round(factor * 1e9)), 1_000_000_000n));
}
