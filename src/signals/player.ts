// Plays a wave in whole ticks for the march: levels and slopes at ticks up to 2^53. At a corner the level is the corner's to the
// last bit, and a wave scaled by a power of two has every bit scaled. After construction nothing is allocated in a step (where
// the tick does not divide the period: one small sum of big integers per period). Both components of a carrier take one phase,
// counted from time zero. An answer is for a tick and a side of it: the stretch that ends there (0) or the one that begins there
// (1); inside a stretch both are the same. The cursors only shorten the search, since the next question lies near.
import { alike, Fraction, fromNumber, ratio, toNumber, zero } from "../base/fraction.js";
import { Recall } from "../base/recall.js";
import { CornerCycle, Cursor, cornersInTicks, nearestTick, packedInTicks } from "./cursor.js";
import { cosTurns, Phase, sinTurns, turn } from "./sine.js";
import { idle, type Shape, type Wave } from "./wave.js";

/**
 * Instants (s, not negative, none zero) of whose integer multiples every corner of the wave is a sum: their common
 * divisor with other instants is a tick on which every corner falls. A sine has none but its start and stop;
 * a packed wave has its unit, whatever the number of its corners.
 */
export function tickInstants(w: Wave): readonly Fraction[] {
  return instantsKnown.of(w.shape, w, () => listed(w));
}

const instantsKnown = new Recall<Shape, Wave, readonly Fraction[]>(
  (a, b) => alike(a.starts, b.starts) && alike(a.stops, b.stops),
);

function listed(w: Wave): Fraction[] {
  const found = new Map<string, Fraction>();
  const note = (time: Fraction | undefined) => {
    if (time && time.n !== 0n) found.set(`${time.n}/${time.d}`, time.abs());
  };
  if (w.shape.kind === "segments") {
    for (const { time } of w.shape.corners) note(time);
    note(w.shape.period);
  }
  // The length is a whole multiple of the unit; the longer period with the carrier's phase is no corner.
  if (w.shape.kind === "packed") note(w.shape.unit);
  note(w.starts);
  note(w.stops);
  return [...found.values()];
}

/** The gate of a wave in ticks: on from `starts` (inclusive) until `stops` (exclusive), and the rounding in ticks. */
export function gateTicks(w: Wave, tick: Fraction): { starts: number; stops: number; worst: number } {
  const starts = w.starts ? nearestTick(w.starts, tick) : { tick: Number.NEGATIVE_INFINITY, off: 0 };
  const stops = w.stops ? nearestTick(w.stops, tick) : { tick: Number.POSITIVE_INFINITY, off: 0 };
  // Never on: all such gates become one.
  if (starts.tick >= stops.tick) {
    return { starts: Number.POSITIVE_INFINITY, stops: Number.POSITIVE_INFINITY, worst: 0 };
  }
  return { starts: starts.tick, stops: stops.tick, worst: Math.max(starts.off, stops.off) };
}

/** 2π to forty digits. */
const exactTurn = new Fraction("6.283185307179586476925286766559005768394");

/** Plays one wave. Ticks that lie within a stretch need not be whole. */
export class Player {
  /** Bound on the distance from an edge to its tick, in seconds; 0 where the tick divides every instant. */
  readonly worst: number;
  /** Period in seconds of a sine, or of a carrier that rides on a part of the wave; undefined for other waves. */
  readonly smooth: number | undefined = undefined;

  /** Whether it has corners by the thousand, as video and noise do. */
  readonly crowded: boolean;

  private readonly pattern: CornerCycle;
  private readonly here: Cursor;
  private readonly ahead: Cursor;
  private readonly seconds: number;
  private readonly starts: number;
  private readonly stops: number;
  private readonly rest: number;
  private readonly phase: Phase | undefined = undefined;
  /** True if the whole wave is one sine. */
  private readonly whole: boolean = false;
  private readonly middle: number = 0;
  private readonly amplitude: number = 0;
  /** Radians per second of a sine or carrier. */
  readonly speed: number = 0;
  /** The rounding error of `speed`, with that of the tick in seconds: with both, phases at ticks are exact. */
  readonly speedRest: number = 0;
  // A sine that starts or stops at its middle does not jump, whatever the last bits of its phase say.
  private readonly softStart: boolean = false;
  private readonly softStop: boolean = false;

  /** `tick` in seconds. */
  constructor(w: Wave, tick: Fraction) {
    const { shape, scale } = w;
    this.crowded = shape.kind === "packed";
    const level = shape.kind === "constant" ? toNumber(shape.value.mul(scale)) : 0;
    const pattern = patternOf(w, tick);
    this.pattern = pattern;
    this.here = new Cursor(pattern, level);
    this.ahead = new Cursor(pattern, level);
    const gate = gateTicks(w, tick);
    this.starts = gate.starts;
    this.stops = gate.stops;
    this.rest = toNumber(idle(w));
    this.seconds = toNumber(tick);
    this.worst = Math.max(pattern.worst, gate.worst) * this.seconds;
    const frequency =
      shape.kind === "sine"
        ? shape.frequency
        : shape.kind === "packed"
          ? shape.carrier?.frequency
          : undefined;
    if (frequency) {
      this.phase = new Phase(frequency.mul(tick), shape.kind === "sine" ? shape.phase : zero);
      this.speed = toNumber(frequency) * turn;
      const whole = frequency.mul(tick).div(fromNumber(this.seconds)).mul(exactTurn);
      this.speedRest = toNumber(whole.sub(fromNumber(this.speed)));
      this.smooth = toNumber(frequency.inverse());
    }
    if (shape.kind === "sine") {
      this.whole = true;
      this.middle = toNumber(shape.middle.mul(scale));
      this.amplitude = toNumber(shape.amplitude.mul(scale));
      const atMiddle = (n: number) =>
        Number.isFinite(n) && tick.mul(ratio(n)).mul(shape.frequency).add(shape.phase).mul(2).d === 1n;
      this.softStart = atMiddle(this.starts);
      this.softStop = atMiddle(this.stops);
    }
  }

  /** The first tick after n where the wave has a corner, starts or stops; Infinity when there is none. */
  next(n: number): number {
    if (n < this.starts) return this.starts;
    if (n >= this.stops) return Number.POSITIVE_INFINITY;
    this.ahead.seek(n);
    return Math.min(this.ahead.to, this.stops);
  }

  /** The last tick up to n where the wave has a corner, starts or stops; -Infinity when there is none. */
  last(n: number): number {
    if (n < this.starts) return Number.NEGATIVE_INFINITY;
    if (n >= this.stops) return this.stops;
    this.ahead.seek(n);
    return Math.max(this.ahead.from, this.starts);
  }

  /**
   * Ticks after which the corners, and the phase of a carrier, repeat to the last bit between two of its changes: 1 where
   * nothing moves, Infinity where nothing repeats.
   */
  get again(): readonly number[] {
    return [this.pattern.again, this.phase?.again ?? 1];
  }

  /** Whether it has corners that recur. */
  get recurs(): boolean {
    return this.pattern.period !== undefined;
  }

  /** The first tick after n at which the wave starts, stops, or has a corner that does not repeat; or Infinity. */
  change(n: number): number {
    if (n < this.starts) return this.starts;
    if (n >= this.stops) return Number.POSITIVE_INFINITY;
    return this.pattern.period ? this.stops : this.next(n);
  }

  /** Whether the wave jumps at tick n. */
  jumpAt(n: number): boolean {
    // A packed wave only jumps where it starts or stops.
    if (this.crowded && n !== this.starts && n !== this.stops) return false;
    if (this.whole) {
      if (n === this.starts) return !this.softStart && this.amplitude !== 0;
      return n === this.stops && !this.softStop && this.amplitude !== 0;
    }
    const before = this.stand(this.ahead, n, 0) ? this.play(this.ahead, n) : this.rest;
    const after = this.stand(this.ahead, n, 1) ? this.play(this.ahead, n) : this.rest;
    return before !== after;
  }

  /** Whether two ticks are successive corners of the wave while it is on. */
  spans(from: number, to: number): boolean {
    const { here } = this;
    return this.stand(here, from, 1) && here.from === from && here.to === to && to < this.stops;
  }

  /**
   * Writes the state of the wave at n: at `level` its level without the carrier, next its slope per second. For a sine or carrier
   * a sin φ + b cos φ, from `carrier` on (−1: none): a sin φ + b cos φ, its quadrature a cos φ − b sin φ, and the same with the
   * slopes a' and b'.
   */
  drive(n: number, side: 0 | 1, out: Float64Array, level: number, carrier: number): void {
    const { here, whole } = this;
    const on = this.stand(here, n, side);
    const plain = on && !whole;
    out[level] = !on ? this.rest : whole ? this.middle : here.level(n);
    out[level + 1] = plain ? here.rise / this.seconds : 0;
    if (carrier < 0) return;
    let [a, b, da, db] = [0, 0, 0, 0];
    if (on && whole) a = this.amplitude;
    else if (plain && here.carries) {
      a = here.component(here.sine, n);
      b = here.component(here.cosine, n);
      da = here.sine.rise / this.seconds;
      db = here.cosine.rise / this.seconds;
    }
    if (a === 0 && b === 0 && da === 0 && db === 0) {
      out.fill(0, carrier, carrier + 4);
      return;
    }
    const turns = this.phase?.at(n) ?? 0;
    const [sine, cosine] = [sinTurns(turns), cosTurns(turns)];
    out[carrier] = a * sine + b * cosine;
    out[carrier + 1] = a * cosine - b * sine;
    out[carrier + 2] = da * sine + db * cosine;
    out[carrier + 3] = da * cosine - db * sine;
  }

  /** The amplitude of a wave that is one sine and on at n; 0 for any other. */
  crest(n: number, side: 0 | 1): number {
    return this.whole && this.stand(this.here, n, side) ? Math.abs(this.amplitude) : 0;
  }

  /** The period (s) of the sine or carrier at n; undefined if the wave is straight there. */
  period(n: number, side: 0 | 1): number | undefined {
    return this.stand(this.here, n, side) && (this.whole || this.here.carries) ? this.smooth : undefined;
  }

  /** The level at n; volts (or amperes). */
  value(n: number, side: 0 | 1): number {
    if (!this.stand(this.here, n, side)) return this.rest;
    return this.whole ? this.middle + this.amplitude * sinTurns(this.phase!.at(n)) : this.play(this.here, n);
  }

  /** First derivative, per second. */
  slope(n: number, side: 0 | 1): number {
    if (!this.stand(this.here, n, side)) return 0;
    if (this.whole) return this.amplitude * this.speed * cosTurns(this.phase!.at(n));
    const { here } = this;
    const straight = here.rise / this.seconds;
    if (!here.carries) return straight;
    const { sine, cosine } = here;
    const turns = this.phase!.at(n);
    const inPhase = sine.rise / this.seconds - this.speed * here.component(cosine, n);
    const across = cosine.rise / this.seconds + this.speed * here.component(sine, n);
    return straight + inPhase * sinTurns(turns) + across * cosTurns(turns);
  }

  /** Second derivative; 0 on straight segments. */
  bend(n: number, side: 0 | 1): number {
    if (!this.phase || !this.stand(this.here, n, side)) return 0;
    if (this.whole) return -this.amplitude * this.speed * this.speed * sinTurns(this.phase.at(n));
    const { here, speed } = this;
    if (!here.carries) return 0;
    const { sine, cosine } = here;
    const turns = this.phase.at(n);
    const inPhase = (-2 * speed * cosine.rise) / this.seconds - speed * speed * here.component(sine, n);
    const across = (2 * speed * sine.rise) / this.seconds - speed * speed * here.component(cosine, n);
    return inPhase * sinTurns(turns) + across * cosTurns(turns);
  }

  /** Level and carrier at tick n, on the stretch on which a cursor stands. */
  private play(cursor: Cursor, n: number): number {
    const level = cursor.level(n);
    if (!cursor.carries) return level;
    const turns = this.phase!.at(n);
    const { sine, cosine } = cursor;
    return (
      level + cursor.component(sine, n) * sinTurns(turns) + cursor.component(cosine, n) * cosTurns(turns)
    );
  }

  /** Moves a cursor to one side of tick n; says whether the wave is on there. */
  private stand(cursor: Cursor, n: number, side: 0 | 1): boolean {
    // What holds just before a whole tick has held since the tick before it.
    const m = side === 1 ? n : Math.ceil(n) - 1;
    cursor.move(m);
    return m >= this.starts && m < this.stops;
  }
}

/** Corners in ticks, cached: every run of a design asks for them. */
const patterns = new Recall<Shape, { readonly scale: Fraction; readonly tick: Fraction }, CornerCycle>(
  (a, b) => alike(a.scale, b.scale) && alike(a.tick, b.tick),
  2,
);

/** The corners of a wave in ticks, scaled; none for a constant and a sine. */
function patternOf(w: Wave, tick: Fraction): CornerCycle {
  return patterns.of(w.shape, { scale: w.scale, tick }, () => made(w, tick));
}

function made({ shape, scale }: Wave, tick: Fraction): CornerCycle {
  if (shape.kind === "packed") {
    return new CornerCycle(packedInTicks(shape, scale, tick), shape.unit.mul(ratio(shape.length)).div(tick));
  }
  if (shape.kind !== "segments") return new CornerCycle(cornersInTicks([], tick), undefined);
  const corners = shape.corners.map((c) => ({ time: c.time, value: c.value.mul(scale) }));
  return new CornerCycle(cornersInTicks(corners, tick), shape.period?.div(tick));
}
