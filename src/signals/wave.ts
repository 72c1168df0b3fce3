// Shapes in time, exact: every instant and every level is a rational, so a shape is the same a million periods later. A periodic
// wave exists for all time, before zero too. Between corners it runs straight, also from the last corner of a period to the first
// of the next; two corners at one time are a jump, left side first. Corners are sorted, those of a periodic shape lie in
// [0, period), and no instant has more than two.
import { type Fraction, fromNumber, one, ratio, toNumber, zero } from "../base/fraction.js";
import { type PackedShape, packedRange } from "./packed.js";

/** A bend or one side of a jump: seconds, and volts (or amperes) before scaling. */
export interface Corner {
  readonly time: Fraction;
  readonly value: Fraction;
}

/** The course of a wave, without gate and scale. */
export type Shape =
  | { readonly kind: "constant"; readonly value: Fraction }
  | {
      readonly kind: "segments";
      /** At least one. A shape without period holds its first value before, its last value after. */
      readonly corners: readonly Corner[];
      /** Seconds. */
      readonly period?: Fraction;
      /** Level outside `starts` to `stops`. */
      readonly idle: Fraction;
    }
  | PackedShape
  | {
      readonly kind: "sine";
      readonly middle: Fraction;
      /** Half of the swing; negative turns the wave over. */
      readonly amplitude: Fraction;
      /** Hertz. */
      readonly frequency: Fraction;
      /** Turns: the value is middle + amplitude · sin(2π(frequency · t + phase)). */
      readonly phase: Fraction;
    };

/** A shape, when it is on, and by how much it is scaled. */
export interface Wave {
  readonly shape: Shape;
  /** Before this instant (s) the wave rests at its idle level; the phase does not shift. */
  readonly starts?: Fraction;
  /** From this instant (s) on the wave rests at its idle level. */
  readonly stops?: Fraction;
  /** Factor on every level, the idle one too. */
  readonly scale: Fraction;
}

/** A pulse by the instant of its leading edge and its width, both at half height, in seconds. */
export interface Pulse {
  readonly at: Fraction;
  readonly width: Fraction;
}

/** Why a wave cannot be made; a later stage, which knows the place in the text, turns it into a diagnostic. */
export class ShapeError extends RangeError {
  constructor(
    readonly code: ShapeCode,
    message: string,
    readonly hint?: string,
  ) {
    super(message);
    this.name = "ShapeError";
  }
}

/** The reasons a wave is refused. */
type ShapeCode =
  | "no-width"
  | "negative-edges"
  | "slow-edges"
  | "full-period"
  | "no-period"
  | "no-points"
  | "path-backwards"
  | "path-too-long"
  | "path-crowded"
  | "no-frequency"
  | "too-many-periods"
  | "too-many-corners"
  | "capture-unit"
  | "carrier-threshold"
  | "no-carrier"
  | "no-setup"
  | "level-range"
  | "no-count"
  | "no-length"
  | "pixels-form"
  | "pixels-size"
  | "pixels-empty"
  | "pixels-not-finite"
  | "pixels-range";

/** A level that never changes. Where it is gated it rests at zero (a supply that is off). */
export function constant(value: Fraction): Wave {
  return { shape: { kind: "constant", value }, scale: one };
}

/**
 * A pulse, or with `period` one in every period. `width` is between the half-height points and `first` is the
 * half-height point of the first leading edge (default 0), in seconds; `edges` is the 10-90 % time (default 0, a
 * jump). Pulse width and edge time as defined in IEEE Std 181.
 * Throws ShapeError `no-width`, `negative-edges`, `slow-edges`, `no-period` or `full-period`.
 */
export function pulse(of: {
  low: Fraction;
  high: Fraction;
  width: Fraction;
  period?: Fraction;
  edges?: Fraction;
  first?: Fraction;
}): Wave {
  return train([{ at: of.first ?? zero, width: of.width }], of);
}

/**
 * Any number of pulses, in order of time, as one wave; with `period` the pattern repeats. Arguments and errors as
 * for `pulse`.
 */
export function train(
  pulses: readonly Pulse[],
  of: { low: Fraction; high: Fraction; period?: Fraction; edges?: Fraction },
): Wave {
  const { low, high, period } = of;
  const edges = of.edges ?? zero;
  if (edges.s < 0n) throw new ShapeError("negative-edges", "the edges of a pulse cannot take negative time");
  if (period) requirePeriod(period);
  // A straight edge covers 80 % of its height between its 10 % and 90 % points.
  const whole = edges.mul(ratio(5, 4));
  const half = whole.div(2);
  const corners: Corner[] = [];
  pulses.forEach(({ at, width }, i) => {
    if (!positive(width)) throw new ShapeError("no-width", "a pulse needs a width greater than zero");
    const end = at.add(width);
    const next = i + 1 < pulses.length ? pulses[i + 1].at : period && pulses[0].at.add(period);
    if (next?.lte(end)) {
      throw new ShapeError(
        "full-period",
        "a pulse is as long as its period",
        "make the pulse narrower or the period longer",
      );
    }
    if (width.lt(whole) || next?.sub(end).lt(whole)) {
      throw new ShapeError(
        "slow-edges",
        "the edges of a pulse take longer than the pulse or the gap after it",
        "a 10-90 % time of T is a straight edge of 1.25 T",
      );
    }
    corners.push({ time: at.sub(half), value: low }, { time: at.add(half), value: high });
    corners.push({ time: end.sub(half), value: high }, { time: end.add(half), value: low });
  });
  return segments(corners, period, low);
}

/**
 * Straight lines from point to point (s, V), in order of time; two points with one time are a jump. With `period`
 * the points cover at most one period; a point one whole period after the first is the left side of the first,
 * otherwise a straight line closes the period. Without it the first and the last level hold outside.
 * Throws ShapeError `no-points`, `path-backwards`, `path-crowded`, `path-too-long` or `no-period`.
 */
export function pathWave(of: { points: readonly Corner[]; period?: Fraction }): Wave {
  const { points, period } = of;
  if (points.length === 0) throw new ShapeError("no-points", "a path needs at least one point");
  for (let i = 1; i < points.length; i++) {
    if (points[i].time.lt(points[i - 1].time)) {
      throw new ShapeError("path-backwards", `point ${i + 1} of the path lies before point ${i} in time`);
    }
  }
  if (period) {
    requirePeriod(period);
    if (points[points.length - 1].time.sub(points[0].time).gt(period)) {
      throw new ShapeError("path-too-long", "the points of the path span more than one period");
    }
  }
  return segments(points, period, points[0].value);
}

/**
 * A sine between two levels, `frequency` in hertz, `phase` in turns (default 0: rising through the middle at time
 * zero). It rests at its middle. Throws ShapeError `no-frequency`.
 */
export function sine(of: { low: Fraction; high: Fraction; frequency: Fraction; phase?: Fraction }): Wave {
  if (!positive(of.frequency))
    throw new ShapeError("no-frequency", "a sine needs a frequency greater than zero");
  const middle = of.low.add(of.high).div(2);
  const amplitude = of.high.sub(of.low).div(2);
  const shape = {
    kind: "sine",
    middle,
    amplitude,
    frequency: of.frequency,
    phase: of.phase ?? zero,
  } as const;
  return { shape, scale: one };
}

/** The wave, on only from `starts` until `stops` (s); a gate it already has still holds. */
export function gated(w: Wave, gate: { starts?: Fraction; stops?: Fraction }): Wave {
  const starts = w.starts && gate.starts?.lt(w.starts) ? w.starts : (gate.starts ?? w.starts);
  const stops = w.stops && gate.stops?.gt(w.stops) ? w.stops : (gate.stops ?? w.stops);
  return { shape: w.shape, scale: w.scale, starts, stops };
}

/** The wave with every level multiplied by an exact factor. */
export function scaled(w: Wave, factor: Fraction): Wave {
  return { ...w, scale: w.scale.mul(factor) };
}

/** The level (scaled) at which a wave rests outside its gate. */
export function idle(w: Wave): Fraction {
  const { shape } = w;
  if (shape.kind === "constant") return zero;
  return (shape.kind === "sine" ? shape.middle : shape.idle).mul(w.scale);
}

/**
 * The lowest and the highest level (scaled) of a wave over all time; with a gate the idle level counts too. Exact,
 * except that a carrier's size is rounded to a double.
 */
export function exactLevelRange(w: Wave): { low: Fraction; high: Fraction } {
  const { shape, scale } = w;
  const levels: Fraction[] = [];
  if (shape.kind === "constant") levels.push(shape.value.mul(scale));
  else if (shape.kind === "segments") for (const { value } of shape.corners) levels.push(value.mul(scale));
  else if (shape.kind === "packed") {
    const { low, high } = packedRange(shape);
    levels.push(fromNumber(low).mul(scale), fromNumber(high).mul(scale));
  } else {
    levels.push(shape.middle.add(shape.amplitude).mul(scale), shape.middle.sub(shape.amplitude).mul(scale));
  }
  if (w.starts || w.stops) levels.push(idle(w));
  let low = levels[0];
  let high = levels[0];
  for (const level of levels) {
    if (level.lt(low)) low = level;
    if (level.gt(high)) high = level;
  }
  return { low, high };
}

/** `exactLevelRange` as doubles. */
export function levelRange(w: Wave): { low: number; high: number } {
  const { low, high } = exactLevelRange(w);
  return { low: toNumber(low), high: toNumber(high) };
}

/** Whether a wave never leaves its level. */
export function stays(w: Wave): boolean {
  const { shape, scale } = w;
  if (shape.kind === "constant" || scale.n === 0n) return true;
  if (shape.kind === "packed") return false;
  const { low, high } = exactLevelRange(w);
  return low.equals(high);
}

/** How many whole periods lie before an instant, rounded down. */
export function periodsBefore(time: Fraction, period: Fraction): bigint {
  const n = time.s * time.n * period.d;
  const d = time.d * period.n;
  return n < 0n ? -((d - 1n - n) / d) : n / d;
}

/** An instant moved by whole periods into [0, period). */
export function wrapped(time: Fraction, period: Fraction): Fraction {
  return time.sub(period.mul(ratio(periodsBefore(time, period))));
}

// Zero has a positive sign in the rational library.
function positive(x: Fraction): boolean {
  return x.s > 0n && x.n > 0n;
}

function requirePeriod(period: Fraction): void {
  if (!positive(period)) throw new ShapeError("no-period", "a period must be longer than zero");
}

function segments(corners: readonly Corner[], period: Fraction | undefined, rest: Fraction): Wave {
  const sorted = distinct(period ? intoPeriod(corners, period) : corners);
  return { shape: { kind: "segments", corners: sorted, period, idle: rest }, scale: one };
}

/** Corners that span at most a period, in order of time, moved into [0, period). */
function intoPeriod(corners: readonly Corner[], period: Fraction): Corner[] {
  // A corner a whole period after the first one is the left side of that instant, so it goes in front.
  const end = corners[0].time.add(period);
  const late = corners.findIndex((c) => c.time.gte(end));
  const ordered = late < 0 ? corners : [...corners.slice(late), ...corners.slice(0, late)];
  const moved = ordered.map((c) => ({ time: wrapped(c.time, period), value: c.value }));
  const cut = moved.findIndex((c, i) => i > 0 && c.time.lt(moved[i - 1].time));
  return cut < 0 ? moved : [...moved.slice(cut), ...moved.slice(0, cut)];
}

/** Corners that share an instant are a jump: from one level to one other. */
function distinct(corners: readonly Corner[]): Corner[] {
  const out: Corner[] = [];
  for (let i = 0, j = 0; i < corners.length; i = j) {
    while (j < corners.length && corners[j].time.equals(corners[i].time)) j++;
    const turns = corners.slice(i + 1, j).filter((c, k) => !c.value.equals(corners[i + k].value));
    if (turns.length > 1) {
      throw new ShapeError(
        "path-crowded",
        "more than two points of the path lie at one time",
        "a jump has a level before and one after it; give a short pulse its width: '1 V at 1 ms, 1 V at 1.001 ms'",
      );
    }
    out.push(corners[i]);
    if (!corners[j - 1].value.equals(corners[i].value)) out.push(corners[j - 1]);
  }
  return out;
}
