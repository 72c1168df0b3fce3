// Sensitivity: how a measured value changes with each part's value. Central differences at one and at half a per
// cent, extrapolated (L. F. Richardson, Phil. Trans. Roy. Soc. A 210, 1911): the truncation that is left is of the
// fourth order, and the steps are wide enough that the error of the runs themselves stays small beside them. The
// difference between the two tells how good the answer is.

import { asked } from "../base/asked.js";
import { type DesignError, refusal } from "../base/diagnostic.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { didYouMean } from "../base/nearest.js";
import type { Amount, Design, PartSpec } from "../design/design.js";
import { measureCheck } from "../judging/verify.js";
import type { SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";

/** How one value moves what a check measures. */
export interface Sensitivity {
  /** Full name of the part. */
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
 * Sensitivities of what a check measures to every value of every part, largest share first. Four runs a value.
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
  const share = options.share ?? 0.01;
  asked(options, { simulate: "object", share: "number" });
  const measured = (of: Design) => measureCheck(simulate(of, options.simulate), spec).measured;
  const middle = measured(design);
  return design.parts
    .flatMap((part) =>
      values(part).map(({ of, amount }) => one(design, part, of, amount, share, middle, measured)),
    )
    .sort((a, b) => Math.abs(b.relative) - Math.abs(a.relative));
}

function one(
  design: Design,
  part: PartSpec,
  of: string,
  amount: Amount,
  share: number,
  middle: number,
  measured: (design: Design) => number,
): Sensitivity {
  const nominal = toNumber(amount.value);
  const slope = (h: number): number => {
    const at = (factor: number) => measured(changed(design, part, of, amount.value.mul(parts(factor))));
    return (at(1 + h) - at(1 - h)) / (2 * h * nominal);
  };
  const wide = slope(share);
  const narrow = slope(share / 2);
  const derivative = (4 * narrow - wide) / 3;
  return {
    part: part.name,
    of,
    nominal,
    unit: unitOf(amount.dimension),
    derivative,
    relative: (derivative * nominal) / middle,
    doubt: Math.abs(derivative - narrow),
  };
}

/** Values of a part that are not zero. */
function values(part: PartSpec): { of: string; amount: Amount }[] {
  const own = part.value && !part.wave ? [{ of: "value", amount: part.value }] : [];
  const named = [...part.amounts].map(([of, amount]) => ({ of, amount }));
  return [...own, ...named].filter(({ amount }) => amount.value.n !== 0n);
}

/** The design with one value of one part replaced. */
export function changed(design: Design, part: PartSpec, of: string, value: Fraction): Design {
  const amount = (a: Amount): Amount => ({ ...a, value, low: value, high: value });
  const next: PartSpec =
    of === "value"
      ? { ...part, value: amount(part.value!) }
      : {
          ...part,
          amounts: new Map([...part.amounts].map(([word, a]) => [word, word === of ? amount(a) : a])),
        };
  return { ...design, parts: design.parts.map((p) => (p === part ? next : p)) };
}

// To nine places: a factor is a share of the value, and an exact rational keeps the clock's divisors small.
function parts(factor: number): Fraction {
  return ratio(BigInt(Math.round(factor * 1e9)), 1_000_000_000n);
}

function unknownCheck(design: Design, check: string): DesignError {
  const known = design.checks.map((c) => c.name);
  return refusal("unknown-check", `no check is called "${check}"`, didYouMean(check, known, '"'));
}
