// The settled start: the state that one common period of all signals leads back to itself. Found by shooting
// (T. J. Aprille, T. N. Trick, Proc. IEEE 60(1), 1972): march one period from a guess, carry the derivatives of its
// end by its start along, and correct the guess by Newton's step. Where only sources switch, the period is an affine
// map and one step is exact, whatever the time constants; events that depend on the state add saltation matrices.
import { Matrix, SingularValueDecomposition } from "ml-matrix";
import { commonDivisor, type Fraction } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import type { Algebra } from "../equations/system.js";
import { constant, idle, type Wave } from "../signals/wave.js";
import type { Inputs } from "../stepping/inputs.js";
import { type Begin, March, type MarchOptions } from "../stepping/march.js";
import type { Ending } from "../stepping/sink.js";
import { Tangent } from "../stepping/tangent.js";
import { Assembly } from "./assemble.js";

/** A settled start, or why there is none. */
export type Settled =
  | {
      readonly ok: true;
      readonly begin: Begin;
      /** Periods marched. */
      readonly shots: number;
      /** Largest change of a state over the period, as a share of its swing. */
      readonly residual: number;
    }
  | { readonly ok: false; readonly code: string; readonly reason: string };

/** The most periods marched. */
const mostShots = 60;
/** The most times the shortest period may go into the common one. */
const mostInside = 1e6;
/** A change over the period smaller than this share of the swing is none. */
const near = 1e-12;
/** A change that Newton's steps cannot lessen any more is accepted up to this share. */
const accepted = 1e-9;
/** A singular value of (I − ∂Φ/∂x) below this has no inverse to speak of. */
const singular = 1e-10;

/**
 * Finds the settled start of a design.
 * @param march how to march; its start is not looked at
 * @param step a fixed step in seconds
 */
export function settledStart(
  design: Design,
  march: Omit<MarchOptions, "start" | "step" | "tangent">,
  step?: Fraction,
  algebra?: Algebra,
): Settled {
  const periodic = {
    ...design,
    parts: design.parts.map((p) => (p.wave ? { ...p, wave: running(p.wave) } : p)),
  };
  const waves = periodic.parts.flatMap((p) => (p.wave ? [{ name: p.name, wave: p.wave }] : []));
  const period = commonPeriod(waves);
  if (typeof period === "string") return { ok: false, code: "no-period", reason: period };
  const assembly = new Assembly(periodic, period, step ? [step] : [], algebra);
  const shoot = (start: MarchOptions["start"]) =>
    shot(assembly, { ...march, start, ...(step && { step: assembly.clock.at(step) }) });

  // A circuit that never rests, a relaxation above all, has no steady state to begin from.
  let guess = shoot("steady");
  if (guess.ending.status === "stopped" && guess.ending.reached === 0) guess = shoot("rest");
  if (guess.ending.status === "stopped") return failed(guess.ending);
  let start = guess.begin;
  let last = Number.POSITIVE_INFINITY;
  let best: { begin: Begin; residual: number } | undefined;
  for (let shots = 1; ; shots++) {
    const { end, tangent, swing } = guess;
    const change = end.x.map((v, i) => v - start.x[i]!);
    const residual = Math.max(0, ...change.map((d, i) => (swing[i]! > 0 ? Math.abs(d) / swing[i]! : 0)));
    const kept = { ...end, x: start.x };
    const newton = solve(tangent, change, swing);
    if ("astray" in newton && (residual > near || free(assembly, newton.astray)))
      return unsettled(assembly, newton);
    if (residual <= near || "astray" in newton) return { ok: true, begin: kept, shots, residual };
    // Where rounding is all that is left, the best is as good as it gets.
    if (best && best.residual <= accepted && residual >= best.residual)
      return { ok: true, ...best, begin: best.begin, shots };
    if (!best || residual < best.residual) best = { begin: kept, residual };
    if (shots >= mostShots) {
      if (best.residual <= accepted) return { ok: true, ...best, shots };
      return {
        ok: false,
        code: "not-settled",
        reason: `no periodic state was found in ${shots} periods: the best still changes by ${best.residual.toPrecision(2)} of its swing`,
      };
    }
    // A step that made things worse has jumped between modes: let the circuit itself go on for a period.
    const next = residual > 0.9 * last && shots > 1 ? end.x : start.x.map((v, i) => v + newton.step[i]!);
    last = residual;
    start = { ...end, x: Float64Array.from(next) };
    guess = shoot(start);
    if (guess.ending.status === "stopped") return failed(guess.ending);
  }
}

function failed(ending: Ending): Settled {
  return { ok: false, code: ending.code, reason: ending.reason };
}

/** A wave as it runs at time zero, for all time: gates yet to come do not count. */
function running(wave: Wave): Wave {
  const { shape, scale } = wave;
  if (wave.starts && wave.starts.s > 0n && wave.starts.n > 0n) return constant(idle(wave));
  if (wave.stops && (wave.stops.s < 0n || wave.stops.n === 0n)) return constant(idle(wave));
  return { shape, scale };
}

/** The shortest time into which every signal's period goes a whole number of times, or why there is none. */
function commonPeriod(waves: readonly { readonly name: string; readonly wave: Wave }[]): Fraction | string {
  let common: Fraction | undefined;
  let shortest: Fraction | undefined;
  for (const { name, wave } of waves) {
    const { shape } = wave;
    if (shape.kind === "constant") continue;
    const period = shape.kind === "sine" ? shape.frequency.inverse() : shape.period;
    if (!period) return `the signal '${name}' does not repeat, so nothing can settle to it`;
    common = common ? common.mul(period).div(commonDivisor(common, period)) : period;
    shortest = !shortest || period.lt(shortest) ? period : shortest;
  }
  if (!common || !shortest) return "the design has no signal that repeats: start from the steady state";
  if (common.div(shortest).gt(mostInside))
    return `the signals have no common period within ${mostInside} of the shortest`;
  return common;
}

interface Shot {
  readonly begin: Begin;
  readonly end: Begin;
  readonly tangent: Matrix;
  readonly swing: Float64Array;
  readonly ending: Ending;
}

function shot(assembly: Assembly, options: Omit<MarchOptions, "tangent">): Shot {
  const { system, clock } = assembly;
  const inputs: Inputs = assembly.inputs();
  const tangent = new Tangent(system.states.length);
  const swing = new Float64Array(system.states.length);
  let begin: Begin | undefined;
  const sink = {
    sample(_n: number, _side: 0 | 1, at: { modes: Uint8Array }, x: Float64Array) {
      begin ??= { x: x.slice(), modes: at.modes.slice(), timers: new Map() };
      for (let i = 0; i < x.length; i++) swing[i] = Math.max(swing[i]!, Math.abs(x[i]!));
      return true;
    },
    loss() {},
  };
  const march = new March(system, inputs, clock, sink, { ...options, tangent }, assembly.courses);
  const ending = march.run();
  const end = begin
    ? march.state
    : { x: new Float64Array(0), modes: new Uint8Array(0), timers: new Map<number, number>() };
  return { begin: begin ?? end, end, tangent: tangent.derivatives, swing, ending };
}

type Newton = { readonly step: number[] } | { readonly astray: number; readonly many: boolean };

/** Solves (I − J) step = change; states are scaled by their swing, so that volts and amperes compare. */
function solve(J: Matrix, change: Float64Array, swing: Float64Array): Newton {
  const n = change.length;
  const size = swing.map((s) => s || 1);
  const matrix = Matrix.eye(n, n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) matrix.set(i, j, matrix.get(i, j) - (J.get(i, j) * size[j]!) / size[i]!);
  }
  const svd = new SingularValueDecomposition(matrix, { autoTranspose: true });
  const { diagonal } = svd;
  const least = diagonal[n - 1]!;
  const right = Matrix.columnVector(Array.from(change, (d, i) => d / size[i]!));
  if (least < singular) {
    const way = svd.rightSingularVectors.getColumn(n - 1).map(Math.abs);
    const along = Math.abs(
      svd.leftSingularVectors
        .transpose()
        .mmul(right)
        .get(n - 1, 0),
    );
    return { astray: way.indexOf(Math.max(...way)), many: along < 1e-6 };
  }
  const step = svd
    .solve(right)
    .to1DArray()
    .map((s, i) => s * size[i]!);
  return { step };
}

/** True for a state that was not given a value to start from. */
function free(assembly: Assembly, state: number): boolean {
  return assembly.system.states[state]!.initial === undefined;
}

function unsettled(assembly: Assembly, { astray, many }: { astray: number; many: boolean }): Settled {
  const { members, states } = assembly.system;
  const name = members[states[astray]!.part]!.name;
  return many
    ? {
        ok: false,
        code: "many-settled",
        reason: `'${name}' keeps whatever it is given: every start is periodic, so give it one with 'starts'`,
      }
    : {
        ok: false,
        code: "none-settled",
        reason: `'${name}' gains or loses in every period and never settles`,
      };
}
