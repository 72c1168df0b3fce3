// One period marched from a guess: its beginning and end, with modes and running times, and how the end depends on the
// beginning.
import type { Matrix } from "ml-matrix";
import type { Assembly } from "../assembly/assemble.js";
import type { Sliced } from "../base/slices.js";
import type { Combination } from "../equations/system.js";
import type { March, MarchOptions } from "../stepping/march.js";
import type { Ending, Side } from "../stepping/sink.js";
import type { Begin } from "../stepping/start.js";
import { Tangent } from "../stepping/tangent.js";

/** The means of shooting. */
export interface Shooting {
  /** The circuit, its clock ending with the period. */
  readonly assembly: Assembly;
  readonly march: Omit<MarchOptions, "start" | "step" | "tangent">;
  /** A fixed step in ticks. */
  readonly step?: number;
}

/** One period. */
export interface Shot {
  readonly begin: Begin;
  readonly end: Begin;
  /** ∂end/∂begin, row by row. */
  readonly tangent: Matrix;
  /** Largest size of each state in the period. */
  readonly swing: Float64Array;
  /** Parts that change their modes in the period. */
  readonly turned: ReadonlySet<number>;
  readonly ending: Ending;
}

/** Marches one period. */
export function* shot({ assembly, march, step }: Shooting, start: MarchOptions["start"]): Sliced<Shot> {
  const { system } = assembly;
  const tangent = new Tangent(system.states.length);
  const swing = new Float64Array(system.states.length);
  const turned = new Set<number>();
  let begin: Begin | undefined;
  let last: Combination | undefined;
  const sink = {
    sample(_n: number, _side: Side, at: Combination, x: Float64Array) {
      begin ??= marching.state;
      if (last && at !== last)
        for (let p = 0; p < at.modes.length; p++) if (at.modes[p] !== last.modes[p]) turned.add(p);
      last = at;
      for (let i = 0; i < x.length; i++) swing[i] = Math.max(swing[i], Math.abs(x[i]));
      return true;
    },
    loss() {},
  };
  const marching: March = assembly.march(sink, { ...march, start, tangent, step });
  const ending = yield* marching.going();
  const nothing = { x: new Float64Array(0), modes: new Uint8Array(0), timers: new Map<number, number>() };
  const end = begin ? marching.state : nothing;
  return { begin: begin ?? end, end, tangent: tangent.derivatives, swing, turned, ending };
}

/**
 * The change from the first beat of a run to the second, at both of which it rests (repeats.ts); undefined where these are not
 * reached in the same modes.
 */
export function* betweenBeats({ assembly, march }: Shooting, start: Begin): Sliced<Float64Array | undefined> {
  const beats: Begin[] = [];
  const sink = {
    sample: () => beats.length < 3,
    loss() {},
    mark() {
      beats.push(marching.state);
      return { samples: 0, losses: 0 };
    },
    repeat() {},
  };
  const marching: March = assembly.march(sink, { ...march, start, repeats: { changes: [], marched: true } });
  yield* marching.going();
  const [, one, two] = beats;
  if (!one || !two || one.modes.some((mode, p) => mode !== two.modes[p])) return undefined;
  return two.x.map((v, i) => v - one.x[i]);
}

/** A state counts at least as this share of the size that all energy in the circuit would give it. */
const floor = 1e-6;
/** Times running in two periods are alike up to this share. */
const together = 1e-9;

/** The changes over a period. */
export interface Drift {
  /** By state. */
  readonly by: Float64Array;
  /** The scale of each state: its swing, or more where the circuit's energy makes that rounding. */
  readonly sizes: Float64Array;
  /** The largest change as a share of its size. */
  readonly residual: number;
  /** The energy of the change, which tells a better guess from a worse one, J. */
  readonly joules: number;
  /** Whether modes and running times are those of the beginning. */
  readonly alike: boolean;
}

/** The changes over a period. */
export function drift({ begin, end, swing }: Shot, { system }: Assembly): Drift {
  const by = end.x.map((v, i) => v - begin.x[i]);
  // States that follow sources alone return as these do, and their swing is not even known.
  for (const { state, row } of system.combination(begin.modes).equations.dependent)
    if (row.at.every((column) => column >= by.length)) by[state] = 0;
  let held = 0;
  for (const [i, { size }] of system.states.entries()) held += size * swing[i] * swing[i];
  const sizes = swing.map((s, i) => Math.max(s, floor * Math.sqrt(held / system.states[i].size)));
  const residual = residualOf(by, sizes);
  const joules = by.reduce((sum, d, i) => sum + (system.states[i].size * d * d) / 2, 0);
  const times = [...begin.timers].every(([part, t]) => {
    const other = end.timers.get(part);
    return other !== undefined && Math.abs(other - t) <= together * Math.max(other, t);
  });
  const modes = begin.modes.every((mode, p) => mode === end.modes[p]);
  return { by, sizes, residual, joules, alike: modes && times && begin.timers.size === end.timers.size };
}

/** The largest change as a share of its size. */
export function residualOf(by: Float64Array, sizes: Float64Array): number {
  return by.reduce((most, d, i) => (sizes[i] > 0 ? Math.max(most, Math.abs(d) / sizes[i]) : most), 0);
}
