// The account of a run: whether Kirchhoff's current law holds at every sample, and whether the energy delivered equals the energy
// dissipated and stored. Each is integrated on its own. Errors are relative to what flows, but to no less than the rounding where
// nothing does. Inside a leap energy is integrated exactly (energy.ts). Along steps it is the sum of length times mean voltage
// times mean current, exact on trapezoidal steps for every linear element (B. D. H. Tellegen's theorem on the means), and on
// TR-BDF2 steps that of the cubic through the powers and their slopes.
import { handed } from "../base/handed.js";
import type { Condensed } from "../equations/condense.js";
import type { Element } from "../equations/elements.js";
import { evaluate } from "../stepping/products.js";
import type { Exchange } from "./energy.js";
import { EnergyExchanges } from "./exchanges.js";
import { CurrentSums } from "./kirchhoff.js";
import { type Moment, Playback } from "./playback.js";
import type { Stretch } from "./recording.js";
import type { Run } from "./result.js";

/** The account of a run. Energies in joules. */
export interface Balance {
  /** Worst sum of currents at a place, as a share of the largest current there in the whole run. */
  readonly currentLaw: number;
  /** Drawn from the sources, between jumps. */
  readonly delivered: number;
  /** Turned to heat, between jumps. */
  readonly dissipated: number;
  /** Gain of the capacitors and inductors, between jumps. */
  readonly stored: number;
  /** Lost where charge or flux was shared at an instant. */
  readonly lost: number;
  /** |delivered − dissipated − stored| as a share of the largest of them, or of the largest energy held. */
  readonly energy: number;
  /** The same over leaps and trapezoidal steps only. */
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

  /** @param flows only the currents are wanted */
  take({ equations, x, u, du, dx, ddu }: Moment, flows: boolean): void {
    const { count } = equations.currents;
    if (this.amps.length !== count) {
      this.amps = new Float64Array(count);
      this.surges = new Float64Array(count);
    }
    this.x.set(x);
    evaluate(equations.currents, x, u, du, this.amps);
    if (flows) return;
    evaluate(equations.places, x, u, du, this.volts);
    // The constants have no slope.
    evaluate(equations.places, dx, du, ddu, this.rises);
    evaluate(equations.currents, dx, du, ddu, this.surges);
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

/**
 * Draws up the account. A run without samples has nothing to account for: all zero.
 *
 * @category Runs
 * @example
 * ```ts
 * const { delivered, energy } = balance(run);
 * delivered > 0 && energy < 1e-6; // true
 * ```
 */
export function balance(run: Run): Balance {
  handed("run", run);
  return new Account(run).close();
}

/** The least scale for an error, as a share of all terms: far above the rounding of terms that cancel. */
const least = 2 ** -13;

class Account {
  private readonly playback: Playback;
  private readonly exchanges: EnergyExchanges | undefined;
  private readonly delivers: readonly boolean[];
  private readonly nodes: CurrentSums;
  private readonly all = { delivered: 0, dissipated: 0, stored: 0, gap: 0 };
  private readonly plain = { delivered: 0, dissipated: 0, stored: 0, gap: 0 };
  private held = 0;
  private terms = 0;
  private readonly left: Snapshot;
  private readonly right: Snapshot;

  constructor(private readonly run: Run) {
    const { assembly, recording, design } = run;
    const { places, states } = assembly.system;
    this.playback = new Playback(assembly, recording);
    this.delivers = design.parts.map((p) => p.kind.delivers === true && !p.fault);
    this.exchanges = recording.exact ? new EnergyExchanges(assembly, recording, this.delivers) : undefined;
    this.nodes = new CurrentSums(places);
    this.left = new Snapshot(places, states.length);
    this.right = new Snapshot(places, states.length);
  }

  close(): Balance {
    const { recording } = this.run;
    const { all, plain } = this;
    if (recording.count > 0) {
      const { from, to } = recording.span();
      const index = recording.count - 1;
      const last = recording.tick(index);
      let any = false;
      for (const stretch of recording.stretches(from, to)) {
        any = true;
        this.stretch(stretch, Math.max(from, stretch.from), Math.min(to, stretch.to));
      }
      if (!any) this.look(this.left, { index, end: index, from: last, to: last }, last, 1);
    }
    const share = (a: typeof all) => {
      const flows = Math.max(Math.abs(a.delivered), Math.abs(a.dissipated), Math.abs(a.stored));
      const scale = Math.max(flows, this.held, least * this.terms);
      return scale > 0 ? Math.abs(a.gap) / scale : 0;
    };
    const { delivered, dissipated, stored } = all;
    const lost = this.run.losses.reduce((total, loss) => total + loss.energy, 0);
    return {
      currentLaw: this.nodes.worst(least),
      delivered,
      dissipated,
      stored,
      lost,
      energy: share(all),
      trapezoid: share(plain),
    };
  }

  /** Looks at a tick of a stretch; returns the equations that hold there. */
  private look(into: Snapshot, stretch: Stretch, tick: number, side: 0 | 1): Condensed {
    const moment = this.playback.at(stretch, tick, side);
    into.take(moment, this.exchanges !== undefined);
    this.nodes.add(moment, into.amps);
    return moment.equations;
  }

  private stretch(stretch: Stretch, from: number, to: number): void {
    const { left, right, all, plain, run, exchanges } = this;
    const equations = this.look(left, stretch, from, 1);
    this.look(right, stretch, to, 0);
    const stored = this.gain(equations);
    const damped = run.recording.damped(stretch.index + 1);
    const sum = exchanges
      ? exchanges.over(stretch, from, to, left.x)
      : this.stepped(equations, to - from, damped);
    const { delivered, dissipated } = sum;
    this.terms += sum.terms;
    for (const account of damped ? [all] : [all, plain]) {
      account.delivered += delivered;
      account.dissipated += dissipated;
      account.stored += stored;
      account.gap += delivered - dissipated - stored;
    }
  }

  /** The energy that capacitors and inductors gain from left to right. */
  private gain({ mass }: Condensed): number {
    const { left, right } = this;
    let [stored, holds] = [0, 0];
    for (let k = 0; k < left.x.length; k++) {
      stored += mass.gained(k, right.x, left.x);
      holds += Math.max(mass.energy(k, left.x), mass.energy(k, right.x));
    }
    this.held = Math.max(this.held, holds);
    return stored;
  }

  /** The energy exchanged over a step of `ticks`. */
  private stepped({ elements }: Condensed, ticks: number, damped: boolean): Exchange {
    const h = ticks * this.run.assembly.clock.seconds;
    const sum = { delivered: 0, dissipated: 0, terms: 0 };
    elements.forEach((e, i) => {
      if (e.state >= 0) return;
      const done = this.work(e, i, h, damped);
      if (e.type !== "resistor" && this.delivers[e.part]) sum.delivered -= done;
      else sum.dissipated += done;
      sum.terms += Math.abs(done);
    });
    return sum;
  }

  /** Work of an element over a step of h seconds: on a trapezoid by the means, on a TR-BDF2 step by its power's cubic. */
  private work(e: Element, i: number, h: number, damped: boolean): number {
    const { left, right } = this;
    if (!damped) return (h * (left.voltage(e) + right.voltage(e)) * (left.amps[i] + right.amps[i])) / 4;
    const [p0, p1] = [left.power(e, i), right.power(e, i)];
    const [t0, t1] = [h * left.trend(e, i), h * right.trend(e, i)];
    // Where something is too quick for the step, slopes say nothing about it: use them only where they make a monotone cubic (F.
    // N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17(2), 1980).
    const most = 3 * Math.abs(p1 - p0);
    const bend = Math.abs(t0) <= most && Math.abs(t1) <= most ? (h * (t0 - t1)) / 12 : 0;
    return (h * (p0 + p1)) / 2 + bend;
  }
}
