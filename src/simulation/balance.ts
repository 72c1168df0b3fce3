// The account of a run: does Kirchhoff's current law hold at every sample, and is what the sources delivered what
// was dissipated and stored? Both are judged relative to what flows. Energy is added up step by step as length
// times mean voltage times mean current, which on trapezoidal steps is exact for every linear element
// (B. D. H. Tellegen's theorem on the means), so that what is left there is rounding; on TR-BDF2 steps by the cubic
// through the powers and their slopes.
import type { Condensed } from "../equations/condense.js";
import type { Element } from "../equations/elements.js";
import { evaluate } from "../stepping/rows.js";
import { type Moment, replay } from "./playback.js";
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
  /** The same over the trapezoidal steps alone. */
  readonly trapezoid: number;
}

/** Voltage and current of every element at one sample, with their slopes. */
class Snapshot {
  readonly volts: Float64Array;
  readonly rises: Float64Array;
  amps = new Float64Array(0);
  surges = new Float64Array(0);
  readonly x: Float64Array;
  tick = -1;
  equations: Condensed | undefined;

  constructor(places: number, nx: number) {
    this.volts = new Float64Array(places);
    this.rises = new Float64Array(places);
    this.x = new Float64Array(nx);
  }

  take(m: Moment): void {
    const { equations } = m;
    const { count } = equations.currents;
    if (this.amps.length !== count) {
      this.amps = new Float64Array(count);
      this.surges = new Float64Array(count);
    }
    evaluate(equations.places, m.x, m.u, m.du, this.volts);
    evaluate(equations.places, m.dx, m.du, m.ddu, this.rises);
    evaluate(equations.currents, m.x, m.u, m.du, this.amps);
    evaluate(equations.currents, m.dx, m.du, m.ddu, this.surges);
    this.x.set(m.x);
    this.tick = m.tick;
    this.equations = equations;
  }

  voltage(e: Element): number {
    return this.volts[e.a]! - this.volts[e.b]!;
  }

  power(e: Element, i: number): number {
    return this.voltage(e) * this.amps[i]!;
  }

  /** Slope of the power, W/s. */
  trend(e: Element, i: number): number {
    return (this.rises[e.a]! - this.rises[e.b]!) * this.amps[i]! + this.voltage(e) * this.surges[i]!;
  }
}

/** Work of an element over a step: by the means on a trapezoid, by the cubic of its power on a TR-BDF2 step. */
function work(e: Element, i: number, from: Snapshot, to: Snapshot, h: number, damped: boolean): number {
  if (!damped) return (h * (from.voltage(e) + to.voltage(e)) * (from.amps[i]! + to.amps[i]!)) / 4;
  const [p0, p1] = [from.power(e, i), to.power(e, i)];
  const [t0, t1] = [h * from.trend(e, i), h * to.trend(e, i)];
  // Slopes of what is too quick for the step say nothing about it: they must be such that the cubic is monotone
  // (F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17(2), 1980).
  const most = 3 * Math.abs(p1 - p0);
  const bend = Math.abs(t0) <= most && Math.abs(t1) <= most ? (h * (t0 - t1)) / 12 : 0;
  return (h * (p0 + p1)) / 2 + bend;
}

/** Draws up the account. A run without samples has nothing to account for: all zero. */
export function balance(run: Run): Balance {
  const { assembly, recording, design } = run;
  const { system, clock } = assembly;
  const delivers = design.parts.map((p) => p.kind.delivers === true && !p.fault);
  const nodes = new Nodes(system.places);
  const all = { delivered: 0, dissipated: 0, stored: 0, gap: 0 };
  const plain = { delivered: 0, dissipated: 0, stored: 0, gap: 0 };
  let held = 0;
  let last = new Snapshot(system.places, system.states.length);
  let now = new Snapshot(system.places, system.states.length);

  replay(assembly, recording, assembly.inputs(), (m) => {
    now.take(m);
    nodes.add(m.equations.elements, now.amps);
    let holds = 0;
    for (let k = 0; k < system.states.length; k++) holds += 0.5 * system.states[k]!.size * m.x[k]! * m.x[k]!;
    held = Math.max(held, holds);
    if (now.tick > last.tick && last.equations === now.equations) {
      const h = (now.tick - last.tick) * clock.seconds;
      const damped = (recording.flags[m.index]! & 2) !== 0;
      let [delivered, dissipated, stored] = [0, 0, 0];
      const { elements } = m.equations;
      for (let i = 0; i < elements.length; i++) {
        const e = elements[i]!;
        if (e.state >= 0) {
          stored +=
            0.5 * e.size * (now.x[e.state]! - last.x[e.state]!) * (now.x[e.state]! + last.x[e.state]!);
        } else if (e.type !== "resistor" && delivers[e.part]) delivered -= work(e, i, last, now, h, damped);
        else dissipated += work(e, i, last, now, h, damped);
      }
      for (const account of damped ? [all] : [all, plain]) {
        account.delivered += delivered;
        account.dissipated += dissipated;
        account.stored += stored;
        account.gap += delivered - dissipated - stored;
      }
    }
    [last, now] = [now, last];
  });

  const share = (a: typeof all) => {
    const scale = Math.max(Math.abs(a.delivered), Math.abs(a.dissipated), Math.abs(a.stored), held);
    return scale > 0 ? Math.abs(a.gap) / scale : 0;
  };
  const { delivered, dissipated, stored } = all;
  const lost = run.losses.reduce((total, loss) => total + loss.energy, 0);
  return {
    currentLaw: nodes.worst(),
    delivered,
    dissipated,
    stored,
    lost,
    energy: share(all),
    trapezoid: share(plain),
  };
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
      const { a, b } = elements[i]!;
      const current = amps[i]!;
      const size = Math.abs(current);
      sum[a]! += current;
      sum[b]! -= current;
      if (size > largest[a]!) largest[a] = size;
      if (size > largest[b]!) largest[b] = size;
    }
    for (let p = 1; p < sum.length; p++) farthest[p] = Math.max(farthest[p]!, Math.abs(sum[p]!));
  }

  /** The worst sum as a share of the largest current at its place. */
  worst(): number {
    // A place where nothing but rounding flows has no scale of its own.
    const least = 1e-12 * this.largest.reduce((most, a) => Math.max(most, a), 0);
    return this.farthest.reduce(
      (worst, f, p) => (this.largest[p]! > least ? Math.max(worst, f / this.largest[p]!) : worst),
      0,
    );
  }
}
