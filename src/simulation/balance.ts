// The account of a run: does Kirchhoff's current law hold at every sample, and is what the sources delivered what
// was dissipated and stored? Each is integrated by itself, and all are judged relative to what flows. Inside a leap
// energy is integrated by Lobatto's rule in halves, until these agree. Along steps it is added up as length times mean
// voltage times mean current, which on trapezoidal steps is exact for every linear element (B. D. H. Tellegen's
// theorem on the means); on TR-BDF2 steps by the cubic through the powers and their slopes.
import type { Element } from "../equations/elements.js";
import { evaluate } from "../stepping/rows.js";
import { type Moment, Playback } from "./playback.js";
import type { Stretch } from "./recording.js";
import type { Run } from "./run.js";

/** The account of a run. Energies in joules. */
export interface Balance {
  /** Worst sum of currents at a place, as a share of the largest current there in the whole run. */
  readonly currentLaw: number;
  /** Taken from the sources, between jumps. */
  readonly delivered: number;
  /** Turned to heat, between jumps. */
  readonly dissipated: number;
  /** Gain of the capacitors and inductors, between jumps. */
  readonly stored: number;
  /** Lost where charge or flux was shared at an instant. */
  readonly lost: number;
  /** |delivered − dissipated − stored| as a share of the largest of them, or of the largest energy held. */
  readonly energy: number;
  /** The same over leaps and trapezoidal steps alone. */
  readonly trapezoid: number;
}

/** Voltage and current of every element at one instant, with their slopes. */
class Snapshot {
  readonly volts: Float64Array;
  readonly rises: Float64Array;
  amps = new Float64Array(0);
  surges = new Float64Array(0);
  readonly x: Float64Array;

  constructor(places: number, nx: number) {
    this.volts = new Float64Array(places);
    this.rises = new Float64Array(places);
    this.x = new Float64Array(nx);
  }

  take({ equations, x, u, du, dx, ddu }: Moment): this {
    const { count } = equations.currents;
    if (this.amps.length !== count) {
      this.amps = new Float64Array(count);
      this.surges = new Float64Array(count);
    }
    evaluate(equations.places, x, u, du, this.volts);
    evaluate(equations.currents, x, u, du, this.amps);
    // The constants have no slope.
    evaluate(equations.places, dx, du, ddu, this.rises);
    evaluate(equations.currents, dx, du, ddu, this.surges);
    this.x.set(x);
    return this;
  }

  voltage(e: Element): number {
    return this.volts[e.a] - this.volts[e.b];
  }

  power(e: Element, i: number): number {
    return this.voltage(e) * this.amps[i];
  }

  /** Slope of the power, W/s. */
  trend(e: Element, i: number): number {
    return (this.rises[e.a] - this.rises[e.b]) * this.amps[i] + this.voltage(e) * this.surges[i];
  }
}

/** Work of an element over a step: by the means on a trapezoid, by the cubic of its power on a TR-BDF2 step. */
function work(e: Element, i: number, from: Snapshot, to: Snapshot, h: number, damped: boolean): number {
  if (!damped) return (h * (from.voltage(e) + to.voltage(e)) * (from.amps[i] + to.amps[i])) / 4;
  const [p0, p1] = [from.power(e, i), to.power(e, i)];
  const [t0, t1] = [h * from.trend(e, i), h * to.trend(e, i)];
  // Slopes of what is too quick for the step say nothing about it: they must be such that the cubic is monotone
  // (F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17(2), 1980).
  const most = 3 * Math.abs(p1 - p0);
  const bend = Math.abs(t0) <= most && Math.abs(t1) <= most ? (h * (t0 - t1)) / 12 : 0;
  return (h * (p0 + p1)) / 2 + bend;
}

/** Energy that changed hands over some time, J. */
interface Exchange {
  delivered: number;
  dissipated: number;
}

/** Draws up the account. A run without samples has nothing to account for: all zero. */
export function balance(run: Run): Balance {
  return new Account(run).close();
}

// Nodes and weights of Lobatto's rule of five points on 0 … 1 (M. Abramowitz, I. A. Stegun, 1964, 25.4.32). It looks at
// both ends: what dies out within a speck of the leap is seen where it begins.
const aside = Math.sqrt(3 / 7) / 2;
const nodes = [0, 0.5 - aside, 0.5, 0.5 + aside, 1];
const weights = [1 / 20, 49 / 180, 16 / 45, 49 / 180, 1 / 20];
/** Halves must agree to this share of what has flowed. */
const agreed = 1e-11;
const deepest = 48;

class Account {
  private readonly playback: Playback;
  private readonly every: readonly number[];
  private readonly delivers: readonly boolean[];
  private readonly currents: Nodes;
  private readonly all = { delivered: 0, dissipated: 0, stored: 0, gap: 0 };
  private readonly plain = { delivered: 0, dissipated: 0, stored: 0, gap: 0 };
  private held = 0;
  /** What has gone from hand to hand, whatever the direction. */
  private flowed = 0;
  private readonly left: Snapshot;
  private readonly right: Snapshot;
  private readonly between: Snapshot;

  constructor(private readonly run: Run) {
    const { assembly, recording, design } = run;
    const { places, states, sources } = assembly.system;
    this.playback = new Playback(assembly, recording);
    this.every = Array.from({ length: sources }, (_, i) => i + 1);
    this.delivers = design.parts.map((p) => p.kind.delivers === true && !p.fault);
    this.currents = new Nodes(places);
    this.left = new Snapshot(places, states.length);
    this.right = new Snapshot(places, states.length);
    this.between = new Snapshot(places, states.length);
  }

  close(): Balance {
    const { recording } = this.run;
    const { all, plain } = this;
    if (recording.count > 0) {
      const { from, to } = recording.span();
      let any = false;
      for (const stretch of this.playback.stretches(from, to)) {
        any = true;
        this.stretch(stretch, Math.max(from, stretch.from), Math.min(to, stretch.to));
      }
      if (!any) {
        const m = this.playback.sample(recording.count - 1, this.every);
        this.currents.add(m.equations.elements, this.left.take(m).amps);
      }
    }
    const share = (a: typeof all) => {
      const scale = Math.max(Math.abs(a.delivered), Math.abs(a.dissipated), Math.abs(a.stored), this.held);
      return scale > 0 ? Math.abs(a.gap) / scale : 0;
    };
    const { delivered, dissipated, stored } = all;
    const lost = this.run.losses.reduce((total, loss) => total + loss.energy, 0);
    return {
      currentLaw: this.currents.worst(),
      delivered,
      dissipated,
      stored,
      lost,
      energy: share(all),
      trapezoid: share(plain),
    };
  }

  private stretch(stretch: Stretch, from: number, to: number): void {
    const { playback, every, left, right, all, plain, run } = this;
    const { recording, assembly } = run;
    const { states } = assembly.system;
    left.take(playback.at(stretch, from, 1, every));
    const { elements, mass } = playback.moment.equations;
    this.currents.add(elements, left.amps);
    right.take(playback.at(stretch, to, 0, every));
    this.currents.add(playback.moment.equations.elements, right.amps);
    let stored = 0;
    let holds = 0;
    for (let k = 0; k < states.length; k++) {
      stored += mass.gained(k, right.x, left.x);
      holds += Math.max(mass.energy(k, left.x), mass.energy(k, right.x));
    }
    this.held = Math.max(this.held, holds);
    const damped = recording.damped(stretch.index + 1);
    let delivered = 0;
    let dissipated = 0;
    if (recording.exact) {
      let start = from;
      for (const corner of [...playback.corners(stretch, every).filter((n) => n > from && n < to), to]) {
        const one = this.integral(stretch, start, corner);
        const sum = this.halves(stretch, start, corner, one, 0);
        delivered += sum.delivered;
        dissipated += sum.dissipated;
        start = corner;
      }
    } else {
      const h = (to - from) * assembly.clock.seconds;
      elements.forEach((e, i) => {
        if (e.state >= 0) return;
        const done = work(e, i, left, right, h, damped);
        if (e.type !== "resistor" && this.delivers[e.part]) delivered -= done;
        else dissipated += done;
      });
    }
    this.flowed += Math.abs(delivered) + Math.abs(dissipated);
    for (const account of damped ? [all] : [all, plain]) {
      account.delivered += delivered;
      account.dissipated += dissipated;
      account.stored += stored;
      account.gap += delivered - dissipated - stored;
    }
  }

  /** Parts a piece of a leap until the whole and its halves agree. */
  private halves(stretch: Stretch, from: number, to: number, whole: Exchange, depth: number): Exchange {
    const middle = from + Math.floor((to - from) / 2);
    if (middle === from || depth >= deepest) return whole;
    const first = this.integral(stretch, from, middle);
    const second = this.integral(stretch, middle, to);
    const apart =
      Math.abs(first.delivered + second.delivered - whole.delivered) +
      Math.abs(first.dissipated + second.dissipated - whole.dissipated);
    const flows =
      Math.abs(first.delivered) +
      Math.abs(second.delivered) +
      Math.abs(first.dissipated) +
      Math.abs(second.dissipated);
    const [a, b] =
      apart <= agreed * Math.max(this.flowed, this.held, flows)
        ? [first, second]
        : [
            this.halves(stretch, from, middle, first, depth + 1),
            this.halves(stretch, middle, to, second, depth + 1),
          ];
    return { delivered: a.delivered + b.delivered, dissipated: a.dissipated + b.dissipated };
  }

  private integral(stretch: Stretch, from: number, to: number): Exchange {
    const { playback, between, every, delivers, run } = this;
    const sum = { delivered: 0, dissipated: 0 };
    nodes.forEach((node, k) => {
      const m = playback.at(stretch, from + Math.round(node * (to - from)), node < 1 ? 1 : 0, every);
      between.take(m);
      const weight = weights[k] * (to - from) * run.assembly.clock.seconds;
      m.equations.elements.forEach((e, i) => {
        if (e.state >= 0) return;
        const power = weight * between.power(e, i);
        if (e.type !== "resistor" && delivers[e.part]) sum.delivered -= power;
        else sum.dissipated += power;
      });
    });
    return sum;
  }
}

/** Sums of currents at every place. */
class Nodes {
  private readonly sum: Float64Array;
  private readonly largest: Float64Array;
  private readonly farthest: Float64Array;

  constructor(places: number) {
    this.sum = new Float64Array(places);
    this.largest = new Float64Array(places);
    this.farthest = new Float64Array(places);
  }

  add(elements: readonly Element[], amps: Float64Array): void {
    const { sum, largest, farthest } = this;
    sum.fill(0);
    for (let i = 0; i < elements.length; i++) {
      const { a, b } = elements[i];
      const current = amps[i];
      const size = Math.abs(current);
      sum[a] += current;
      sum[b] -= current;
      if (size > largest[a]) largest[a] = size;
      if (size > largest[b]) largest[b] = size;
    }
    for (let p = 1; p < sum.length; p++) farthest[p] = Math.max(farthest[p], Math.abs(sum[p]));
  }

  /** The worst sum as a share of the largest current at its place. */
  worst(): number {
    // A place where nothing but rounding flows has no scale of its own.
    const least = 1e-12 * this.largest.reduce((most, a) => Math.max(most, a), 0);
    return this.farthest.reduce(
      (worst, f, p) => (this.largest[p] > least ? Math.max(worst, f / this.largest[p]) : worst),
      0,
    );
  }
}
