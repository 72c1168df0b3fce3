// Sensitivity: how a measured value changes with each value of the design. Central differences at one and at half a per
// cent, extrapolated (L. F. Richardson, Phil. Trans. Roy. Soc. A 210, 1911): the truncation that is left is of the
// fourth order, and the steps are wide enough that the error of the runs themselves stays small beside them. The
// difference between the two tells how good the answer is.

import { asked } from "../base/asked.js";
import { type DesignError, refusal } from "../base/diagnostic.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { didYouMean } from "../base/nearest.js";
import type { Design } from "../design/design.js";
import { revalued, type SettableValue, settableValues } from "../design/revalue.js";
import { measureChecks } from "../judging/verify.js";
import { inRange } from "../parts/contract.js";
import type { SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";

/** How one value moves what a check measures. */
export interface Sensitivity {
  /** Full name of the part, or of the named value; all parts that stand with a named value move with it. */
  readonly part: string;
  /** `value`, or the word of a property, e.g. `headroom`. */
  readonly of: string;
  /** The value as designed, SI, and its unit. */
  readonly nominal: number;
  /** Its SI unit. */
  readonly unit: string;
  /** Change of the measured value a unit of this one: SI units of the one by those of the other. */
  readonly derivative: number;
  /** The same in shares: per cent of the measured value a per cent of this one. */
  readonly relative: number;
  /** How far the derivative may be off, same unit. */
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
 * Sensitivities of what a check measures to every value, largest share first: named values, and those of parts that are not
 * a named value themselves. Four runs a value.
 * @param check the name of a check of this design (or case)
 * @throws DesignError `unknown-check`, or for simulate options that make no sense
 */
export function sensitivities(
  design: Design,
  check: string,
  options: SensitivityOptions = {},
): Sensitivity[] {
  const spec = design.checks.find((c) => c.name === check);
  if (!spec) throw unknownCheck(design, check);
  asked(options, { simulate: "object", share: "number" });
  const measured = (of: Design) => measureChecks(simulate(of, options.simulate), [spec])[0].measured;
  const values = [...settableValues(design).values()].filter(
    ({ amount }) => amount.follows === undefined && amount.value.n !== 0n,
  );
  const slopes = new Slopes(design, options.share ?? 0.01, measured);
  return values.map((one) => slopes.of(one)).sort((a, b) => Math.abs(b.relative) - Math.abs(a.relative));
}

/** Slopes of what is measured, by values of one design. */
class Slopes {
  /** As designed. */
  private readonly middle: number;

  constructor(
    private readonly design: Design,
    private readonly share: number,
    private readonly measured: (design: Design) => number,
  ) {
    this.middle = measured(design);
  }

  of({ name, amount, range }: SettableValue): Sensitivity {
    const { design, share, middle } = this;
    const nominal = toNumber(amount.value);
    const times = (factor: number) => amount.value.mul(parts(factor));
    // Made of what is written, so that it holds also where a case sets the value.
    const at = (factor: number) =>
      this.measured(revalued(design, new Map([[name, () => times(factor)]]), []));
    // At an end of what the value may be there is a slope to one side alone.
    const [up, down] = [1 + share, 1 - share].map((factor) => inRange(times(factor), range));
    const slope = (h: number) => {
      const [most, least] = [up ? at(1 + h) : middle, down ? at(1 - h) : middle];
      return (most - least) / ((Number(up) + Number(down)) * h * nominal);
    };
    const [wide, narrow] = [slope(share), slope(share / 2)];
    const derivative = up && down ? (4 * narrow - wide) / 3 : 2 * narrow - wide;
    const own = design.givens.has(name) || design.parts.some((p) => p.name === name);
    const dot = own ? name.length : name.lastIndexOf(".");
    return {
      part: name.slice(0, dot),
      of: own ? "value" : name.slice(dot + 1),
      nominal,
      unit: unitOf(amount.dimension),
      derivative,
      relative: (derivative * nominal) / middle,
      doubt: Math.abs(derivative - narrow),
    };
  }
}

// To nine places: a factor is a share of the value, and an exact rational keeps the clock's divisors small.
function parts(factor: number): Fraction {
  return ratio(BigInt(Math.round(factor * 1e9)), 1_000_000_000n);
}

function unknownCheck(design: Design, check: string): DesignError {
  const known = design.checks.map((c) => c.name);
  return refusal("unknown-check", `no check is called "${check}"`, didYouMean(check, known, '"'));
}
