// What may be wrong with a board, one thing at a time: parts, supplies and signals that fail (see `failuresOf`), and values that
// are off by a factor. A value is tried at a few factors; the readings decide between them.
import { refuseOption } from "../base/asked.js";
import { unitOf } from "../base/dimension.js";
import { type Fraction, ratio } from "../base/fraction.js";
import { asWritten } from "../base/quantity.js";
import type { Design, PartSpec } from "../design/design.js";
import { failuresOf } from "../faults/failures.js";
import type { FailureKind } from "../parts/contract.js";
import { inRange } from "../parts/range.js";

/** How something is wrong: the way a part fails, `value` for a value off by a factor, `none` where nothing is. */
export type SuspectKind = FailureKind | "value" | "none";

/** One possible state of the design, as plain data. */
export interface Suspect {
  /** Full name of the part, supply or signal; empty where nothing is wrong. */
  readonly name: string;
  /** What is wrong with it. */
  readonly kind: SuspectKind;
  /** For a value: its ratio to what it should be. */
  readonly factor?: number;
  /** For a value: the failure that it approaches as it goes farther off. */
  readonly end?: "open" | "short";
}

/** A suspect that can be applied to a design. */
export interface Suspected extends Suspect {
  /** The design, or one of its cases, with it; undefined where that changes nothing. */
  on(design: Design): Design | undefined;
}

/** Factors by which values are off, each up and down: double, and a decade (common practice, no source). */
export const usualFactors: readonly number[] = [2, 10];

/** The failure that a value approaches, by unit: as it gets ever smaller, and ever larger. */
const ends: Readonly<Record<string, readonly [low?: "open" | "short", high?: "open" | "short"]>> = {
  Ω: ["short", "open"],
  F: ["open"],
  H: ["short", "open"],
  A: ["open"],
};

/**
 * All single suspects, starting with none.
 * @param names of parts, supplies and signals; absent: all
 * @throws DesignError `bad-option`
 */
export function suspectsOf(
  design: Design,
  names?: readonly string[],
  factors: readonly number[] = usualFactors,
): Suspected[] {
  for (const factor of factors)
    if (!(factor > 1 && factor <= 1e6))
      refuseOption("factors", "a factor lies above 1, and is a million at most", "it counts up and down");
  const failed = failuresOf(design, names);
  const all = [...new Set(factors)].sort((a, b) => a - b).map(asWritten);
  const scales = [...all.map((f) => ratio(1n).div(f)).reverse(), ...all];
  const parts = design.parts.filter((p) => (!names || names.includes(p.name)) && hasValue(p));
  return [
    { name: "", kind: "none", on: (one) => ({ ...one, cases: [] }) },
    ...failed,
    ...parts.flatMap((part) => scales.flatMap((scale) => valueOff(part, scale))),
  ];
}

/** Whether a part may have a wrong value: supplies and signals fail in ways of their own. */
function hasValue({ value, wave, kind }: PartSpec): boolean {
  return value !== undefined && value.value.n !== 0n && !wave && !kind.rail && !kind.couples;
}

function valueOff({ name, kind, value }: PartSpec, scale: Fraction): Suspected[] {
  if (!inRange(value!.value.mul(scale), kind.value?.range ?? "any")) return [];
  const on = (design: Design): Design | undefined => {
    const part = design.parts.find((p) => p.name === name);
    // A part that a case has taken out or bridged has no value there.
    if (!part?.value || part.fault) return undefined;
    const { low, high } = part.value;
    const made = {
      ...part.value,
      value: part.value.value.mul(scale),
      low: low.mul(scale),
      high: high.mul(scale),
    };
    return { ...design, cases: [], parts: design.parts.map((p) => (p === part ? { ...p, value: made } : p)) };
  };
  const factor = Number(scale.valueOf());
  const end = ends[unitOf(value!.dimension)]?.[factor < 1 ? 0 : 1];
  return [{ name, kind: "value", factor, ...(end && { end }), on }];
}

/** A suspect in words: `hold open`, `nothing`, `hold at 2 times its value`. */
export function suspectText({ name, kind, factor }: Suspect): string {
  if (kind === "none") return "nothing failed";
  if (kind !== "value") return `${name} ${kind}`;
  return `${name} at ${Number(factor!.toPrecision(2))} times its value`;
}
