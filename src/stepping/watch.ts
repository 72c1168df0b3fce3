// Does a guard cross within a leap, and where? What its bounds keep from zero cannot; what rises all the way is found at
// its end; only where both are open the leap is looked at in halves, from its start. So a guard that rises above zero
// and falls back is found wherever it does, and a crossing costs a handful of products.
// Always: the first crossing first; the tick given is the first one behind it; all guards that cross by then are named.
import { bitLength } from "./binary.js";
import { type Flight, Look } from "./flight.js";

/** A crossing: ticks from the start of the leap, and the guards. */
export interface Found {
  readonly after: number;
  readonly guards: readonly number[];
}

/** Times within a bracket that a root is tried before halves are taken. */
const tries = 8;
/** A step of Newton so short beside every time constant that four terms of the series say all. */
const near = 1 / 4096;

/** Watches the guards of one march. */
export class Watch {
  /** z at the end of the leap last looked at, where that was worked out and no guard crossed. */
  reached: Float64Array | undefined;
  private flight!: Flight;
  /** By guard: what counts as above zero. */
  private sill = new Float64Array(0);
  /** Looks taken in the leap in hand. */
  private used = 0;

  /**
   * The first crossing in a leap from the state of the flight.
   * @param recurs as for `Pieces.leap`
   */
  first(flight: Flight, length: number, recurs: boolean): Found | undefined {
    this.flight = flight;
    this.reached = undefined;
    this.used = 0;
    const { z, d, pieces } = flight;
    const { start, column, value } = flight.motion.guards;
    const count = start.length - 1;
    const rung = bitLength(length - 1);
    const { start: from, column: of, ends, share } = flight.bounds.within(rung);
    let suspects: number[] | undefined;
    let violated: number[] | undefined;
    for (let g = 0; g < count; g++) {
      let level = 0;
      for (let p = start[g], end = start[g + 1]; p < end; p++) level += value[p] * z[column[p]];
      let rise = 0;
      for (let p = from[g], end = from[g + 1]; p < end; p++) {
        const v = d[of[p]];
        rise += v > 0 ? v * ends[2 * p + 1] : v * ends[2 * p];
      }
      const reach = level + rise * share;
      if (reach <= 0) continue;
      const noise = flight.noise(g);
      if (level > noise) {
        violated ??= [];
        violated.push(g);
        continue;
      }
      // What stands on zero is judged by where it goes.
      const sill = level > 0 ? 2 * noise : noise;
      if (reach <= sill) continue;
      if (this.sill.length < count) this.sill = new Float64Array(count);
      this.sill[g] = sill;
      suspects ??= [];
      suspects.push(g);
    }
    if (violated) return { after: 0, guards: violated };
    if (!suspects) return undefined;
    const a = this.look(0);
    const b = this.look(1);
    a.n = 0;
    a.z.set(z);
    b.n = length;
    b.z.set(z);
    pieces.leap(b.z, length, recurs);
    this.derive(a);
    this.derive(b);
    const found = this.scan(a, b, suspects, 2);
    if (!found) this.reached = b.z;
    return found;
  }

  /** The first crossing between two instants, of the guards that are open; `depth` looks are in use. */
  private scan(a: Look, b: Look, suspects: readonly number[], depth: number): Found | undefined {
    const { flight, sill } = this;
    const { bounds } = flight;
    const rung = bitLength(b.n - a.n - 1);
    const open: number[] = [];
    const rising: number[] = [];
    for (const g of suspects) {
      const from = flight.level(g, a.z);
      const rise = bounds.rise(rung, g, a.d);
      // Also where all of the rise would be rounding: what goes on rising is found in what follows.
      if (from + rise <= sill[g] || rise <= sill[g]) continue;
      const slope = flight.slope(g, a.d);
      if (slope + bounds.rise(rung, g, a.dd) <= 0) continue;
      // What grows beyond every number within the leap (an amplifier that feeds itself) is looked at in halves as well.
      const end = flight.level(g, b.z);
      if (!(slope + bounds.fall(rung, g, a.dd) >= 0) || Number.isNaN(end)) open.push(g);
      else if (end > sill[g]) rising.push(g);
    }
    if (rising.length > 0) {
      let after = Number.POSITIVE_INFINITY;
      const at = rising.map((g) => {
        const root = this.root(a, b, g, depth);
        after = Math.min(after, root);
        return root;
      });
      const found = { after, guards: rising.filter((_, i) => at[i] === after) };
      if (open.length === 0) return found;
      // Before it, one of the others may have crossed.
      if (after >= b.n) return this.halves(a, b, open, depth, found);
      const until = this.look(depth);
      this.go(until, after);
      return this.halves(a, until, open, depth + 1, found);
    }
    return open.length > 0 ? this.halves(a, b, open, depth, undefined) : undefined;
  }

  /** Looks at both halves; `otherwise` where nothing of `open` crosses before the end. */
  private halves(
    a: Look,
    b: Look,
    open: readonly number[],
    depth: number,
    otherwise: Found | undefined,
  ): Found | undefined {
    const length = b.n - a.n;
    if (length <= 1) {
      const beyond = open.filter((g) => this.flight.level(g, b.z) > this.sill[g]);
      if (beyond.length === 0) return otherwise;
      return {
        after: b.n,
        guards: otherwise && otherwise.after === b.n ? [...otherwise.guards, ...beyond] : beyond,
      };
    }
    const m = this.look(depth);
    this.go(m, a.n + 2 ** (bitLength(length - 1) - 1));
    const early = this.scan(a, m, open, depth + 1);
    if (early) return early;
    const late = this.scan(m, b, open, depth + 1);
    if (!late) return otherwise;
    if (!otherwise || late.after < otherwise.after) return late;
    return late.after > otherwise.after
      ? otherwise
      : { after: late.after, guards: [...otherwise.guards, ...late.guards].sort((x, y) => x - y) };
  }

  /** The first tick behind the zero of a guard that rises from a to b. */
  private root(a: Look, b: Look, g: number, depth: number): number {
    const { flight } = this;
    const { tick } = flight.pieces;
    const zero = (at: Look) => flight.level(g, at.z);
    if (zero(a) >= 0) return a.n + 1;
    let [low, high] = [a, b];
    let mine = depth;
    for (let turn = 0; high.n - low.n > 1; turn++) {
      const span = high.n - low.n;
      const share =
        turn < tries
          ? hermiteRoot(
              zero(low),
              flight.slope(g, low.d) * tick * span,
              zero(high),
              flight.slope(g, high.d) * tick * span,
            )
          : 0.5;
      const at = Math.min(Math.max(low.n + Math.round(share * span), low.n + 1), high.n - 1);
      const m = this.look(mine++);
      this.go(m, at);
      const level = zero(m);
      const slope = flight.slope(g, m.d);
      if (slope > 0) {
        const step = -level / slope / tick;
        if (Math.abs(step) * tick * flight.motion.rate <= near || Math.abs(step) < 0.5) {
          const root = m.n + this.polished(m, g, step);
          return Math.min(Math.max(Math.floor(root) + 1, low.n + 1), high.n);
        }
      }
      if (level > 0) high = m;
      else low = m;
    }
    return high.n;
  }

  /** The zero of a guard beside an instant, in ticks, by four terms of its series and Newton's steps from the first guess. */
  private polished(m: Look, g: number, guess: number): number {
    const { flight } = this;
    const { tick } = flight.pieces;
    const { third } = flight;
    flight.motion.derive(m.dd, third.d);
    const c0 = flight.level(g, m.z);
    const c1 = flight.slope(g, m.d) * tick;
    const c2 = (flight.slope(g, m.dd) * tick * tick) / 2;
    const c3 = (flight.slope(g, third.d) * tick * tick * tick) / 6;
    let t = guess;
    for (let k = 0; k < 3; k++) {
      const value = c0 + t * (c1 + t * (c2 + t * c3));
      const slope = c1 + t * (2 * c2 + t * 3 * c3);
      if (slope > 0) t -= value / slope;
    }
    return t;
  }

  /** Shows what has been seen of the leap last looked at, up to so many ticks from its start. */
  passed(until: number, see: (z: Float64Array) => void): void {
    const { looks } = this.flight;
    for (let k = 0; k < this.used; k++) if (looks[k].n <= until) see(looks[k].z);
  }

  private look(depth: number): Look {
    if (depth >= this.used) this.used = depth + 1;
    const { looks, motion } = this.flight;
    while (looks.length <= depth) looks.push(new Look(motion.width));
    return looks[depth];
  }

  /** Puts a look at so many ticks from the start. */
  private go(to: Look, n: number): void {
    const { flight } = this;
    to.n = n;
    to.z.set(flight.z);
    flight.pieces.leap(to.z, n, false);
    this.derive(to);
  }

  private derive(at: Look): void {
    const { motion } = this.flight;
    motion.derive(at.z, at.d);
    motion.derive(at.d, at.dd);
  }
}

/**
 * Where the cubic through two levels with their slopes (over the whole span) is zero, as a share of the span; the first
 * below zero, the second above.
 */
function hermiteRoot(y0: number, s0: number, y1: number, s1: number): number {
  const d = y1 - y0;
  const a = s0 - d;
  const b = s1 - d;
  let [low, high] = [0, 1];
  let s = -y0 / d;
  for (let k = 0; k < 12; k++) {
    const r = 1 - s;
    const value = y0 + d * s + s * r * (a * r - b * s);
    if (value > 0) high = s;
    else low = s;
    const slope = d + a * (1 - 4 * s + 3 * s * s) - b * (2 * s - 3 * s * s);
    const next = slope > 0 ? s - value / slope : Number.NaN;
    s = next > low && next < high ? next : (low + high) / 2;
  }
  return s;
}
