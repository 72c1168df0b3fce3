// How things fail, one at a time: parts open and short, rails dead, open and low, signals that stop. A fault that a case has
// already given a part is no failure there.
import { refuseOption } from "../base/asked.js";
import { type Fraction, ratio, zero } from "../base/fraction.js";
import { didYouMean } from "../base/nearest.js";
import type { Design, PartSpec } from "../design/design.js";
import type { FailureKind } from "../parts/contract.js";
import { gated, scaled } from "../signals/wave.js";

/** Something that fails. */
export interface Failure {
  readonly kind: FailureKind;
  /** Full name of the part, supply or signal. */
  readonly name: string;
  /** The design, or one of its cases, with the failure; undefined where that changes nothing. */
  on(design: Design): Design | undefined;
}

/** The share left of a rail that sags (common practice, no source). */
export const lowRail = 4 / 5;
/** How a part fails unless its kind says otherwise. */
const usual: readonly FailureKind[] = ["open", "short"];
const fails = (kind: FailureKind) => (p: PartSpec) => (p.kind.fails ?? usual).includes(kind);
const rail = (p: PartSpec) => p.kind.rail !== undefined;

const ways: readonly {
  readonly kind: FailureKind;
  readonly of: (p: PartSpec) => boolean;
  readonly made: (p: PartSpec) => PartSpec;
}[] = [
  { kind: "open", of: (p) => fails("open")(p) && !rail(p), made: (p) => ({ ...p, fault: "open" }) },
  { kind: "short", of: fails("short"), made: (p) => ({ ...p, fault: "short" }) },
  { kind: "dead", of: fails("dead"), made: (p) => at(p, zero) },
  // A rail that is not fed, then one that sags.
  { kind: "open", of: (p) => fails("open")(p) && rail(p), made: (p) => ({ ...p, fault: "open" }) },
  { kind: "low", of: fails("low"), made: (p) => at(p, ratio(4, 5)) },
  {
    kind: "stopped",
    of: fails("stopped"),
    made: (p) => (p.wave ? { ...p, wave: gated(p.wave, { stops: zero }) } : p),
  },
];

/**
 * All failures of a design.
 * @param names of parts, supplies and signals that fail; absent: all
 * @throws DesignError `bad-option` for a part that is not there
 */
export function failuresOf(design: Design, names?: readonly string[]): Failure[] {
  const all = design.parts.map((p) => p.name);
  for (const name of names ?? []) {
    if (all.includes(name)) continue;
    refuseOption("parts", `the design has no part '${name}'`, didYouMean(name, all));
  }
  const list = names ? design.parts.filter((p) => names.includes(p.name)) : design.parts;
  return ways.flatMap(({ kind, of, made }) =>
    list.filter(of).map(({ name }): Failure => ({ kind, name, on: (one) => laid(one, name, made) })),
  );
}

function laid(design: Design, name: string, made: (p: PartSpec) => PartSpec): Design | undefined {
  const part = design.parts.find((p) => p.name === name);
  const failed = part && made(part);
  if (!part || !failed || (failed.fault !== undefined && failed.fault === part.fault)) return undefined;
  return { ...design, cases: [], parts: design.parts.map((p) => (p === part ? failed : p)) };
}

/** How many parts share a place with one, ground apart: what a rail does is felt by all that it feeds. */
export function joinedWith({ parts }: Design, name: string): number {
  const own = parts.find((p) => p.name === name);
  const places = own ? [own.tail, own.head].filter((place) => place !== 0) : [];
  return parts.filter(({ tail, head }) => places.includes(tail) || places.includes(head)).length;
}

/** A supply at a share of what it is. */
function at({ wave, ...part }: PartSpec, share: Fraction): PartSpec {
  if (!part.value) return part;
  const { value, low, high } = part.value;
  return {
    ...part,
    value: { ...part.value, value: value.mul(share), low: low.mul(share), high: high.mul(share) },
    ...(wave && share.n !== 0n && { wave: scaled(wave, share) }),
  };
}
