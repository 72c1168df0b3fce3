// How far an unknown must reach so that the goal is met whatever the tolerances of everything else do: the range of the
// trimmer that takes its place.
// Takes a gauge, the unknown and its answer; gives the two values that meet the goal at the worst corners of all other
// tolerances, by the signs of their sensitivities. Always: where a corner cannot be made up for, that is said.
import { type Fraction, toNumber } from "../base/fraction.js";
import { inRange } from "../parts/contract.js";
import type { Unknown } from "./answers.js";
import type { Gauge, Values } from "./gauge.js";
import { narrow, type Point, type Search } from "./root.js";
import { decimal } from "./spacing.js";
import { corner, plainValues, type Swing, swings, tolerances } from "./tolerances.js";

/** One end of what a trimmer must reach. */
export interface TrimEnd {
  /** The value that meets the goal there, SI; NaN where none does. */
  readonly value: number;
  /** The values of everything else at that corner, SI, by full name. */
  readonly corner: { readonly [name: string]: number };
}

/** A tolerance that a trimmer makes up for. */
export interface TrimTolerance {
  /** Full name of the value that has it. */
  readonly name: string;
  /** How far the measure moves from its low end to its high one, SI. */
  readonly effect: number;
}

/** What a trimmer must reach. */
export interface Trim {
  /** Lower end, SI; NaN where a corner cannot be made up for. */
  readonly from: number;
  /** Upper end, likewise. */
  readonly to: number;
  /** The farther end, counted from the answer, as a share of it. */
  readonly share: number;
  /** Whether both ends are there and lie in the unknown's allowed range. */
  readonly inside: boolean;
  /** The end for the corner that pushes the measure up the most, then that for the other. */
  readonly ends: readonly [TrimEnd, TrimEnd];
  /** The tolerances that matter, the one that costs most first. */
  readonly tolerances: readonly TrimTolerance[];
}

// A trimmer is never set to better than this.
const accuracy = 1e-6;
/** How often a bracket is widened before a corner is given up: to more than thirty times what a straight line says. */
const widenings = 6;

/** What the unknown must reach around its answer; undefined where nothing else that has an effect has a tolerance. */
export function reach(gauge: Gauge, unknown: Unknown, at: Fraction): Trim | undefined {
  const others = tolerances(gauge.design).filter((t) => !t.low.has(unknown.name));
  if (others.length === 0) return undefined;
  const goal = gauge.goals[0]!;
  const all = swings(gauge, others, new Map([[unknown.name, at]]));
  const biggest = Math.max(0, ...all.map((s) => Math.abs(s.effect) || 0));
  // What moves the measure by a millionth of what the largest one does is rounding.
  const acting = all.filter(
    (s) => Math.abs(s.effect) > 1e-6 * biggest && biggest > 1e-9 * Math.abs(goal.aim),
  );
  if (acting.length === 0) return undefined;
  const ends = ([1, -1] as const).map((way) => {
    const values = corner(acting, way);
    return { value: made(gauge, unknown, at, values), corner: plainValues(values) };
  }) as unknown as [TrimEnd, TrimEnd];
  const [a, b] = ends.map((e) => e.value) as [number, number];
  const x = toNumber(at);
  const known = !Number.isNaN(a) && !Number.isNaN(b);
  const [from, to] = known ? [Math.min(a, b, x), Math.max(a, b, x)] : [Number.NaN, Number.NaN];
  return {
    from,
    to,
    share: Math.max(x - from, to - x) / Math.abs(x),
    inside: known && from >= toNumber(unknown.from) && to <= toNumber(unknown.to),
    ends,
    tolerances: ranked(acting),
  };
}

function ranked(list: readonly Swing[]): TrimTolerance[] {
  return list
    .map(({ name, effect }) => ({ name, effect }))
    .sort((a, b) => Math.abs(b.effect) - Math.abs(a.effect));
}

// The value of the unknown that meets the goal at a corner, followed from the answer.
function made(gauge: Gauge, unknown: Unknown, at: Fraction, values: Values): number {
  const { aim } = gauge.goals[0]!;
  const measured = (x: Fraction, corner: Values) =>
    gauge.at(new Map([...corner, [unknown.name, x]]))[0]!.value - aim;
  const x = toNumber(at);
  const start: Point = { x, y: measured(at, values) };
  if (Number.isNaN(start.y) || start.y === 0) return start.y === 0 ? x : Number.NaN;
  const step = decimal(x * 1.005 || 1e-3 * toNumber(unknown.to.sub(unknown.from)));
  const slope = (measured(step, values) - start.y) / (toNumber(step) - x);
  // A little farther than a straight line says, so that the root lies between.
  let move = (-1.1 * start.y) / slope;
  if (!Number.isFinite(move)) return Number.NaN;
  const sought: Search = { at: (v) => measured(decimal(v), values), accuracy, small: 0 };
  for (let k = 0; k < widenings; k++, move *= 2) {
    // A value above zero is at most halved at a time: beyond lies what no part has.
    const next = decimal(x > 0 && x + move <= 0 ? x / 2 ** (k + 1) : x + move);
    if (!inRange(next, unknown.range)) return Number.NaN;
    const p = { x: toNumber(next), y: measured(next, values) };
    if (Number.isNaN(p.y)) return Number.NaN;
    if (p.y * start.y <= 0) return narrow(sought, start, p).x;
  }
  return Number.NaN;
}
