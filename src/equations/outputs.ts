// Everything that can be read of one combination of modes, as a row over the states, the sources and their slopes, x | u | u':
// the net's rows with substitutes for their other columns, which are the steering voltages and the q of dependent states. That
// q is known once the motion is; until then the rows serve to make the motion.
import { AccurateNetwork } from "./accurate.js";
import { type DoubleDouble, doubleDoubles } from "./arithmetic.js";
import { DependentState } from "./dependent.js";
import type { Element } from "./elements.js";
import type { Mass } from "./mass.js";
import { partsOf } from "./network.js";
import type { PreciseRow, Remainder } from "./remainder.js";
import type { PartGuard, Stamps } from "./stamps.js";
import { Degenerate, steeringRows } from "./steering.js";
import { type Dependence, type Topology, Unsolvable } from "./topology.js";
import { cancels, Sum, substituted, trackedSum, type Vector } from "./vector.js";

/** Gives the rounding error in doubles of the slopes of the free states, on request. */
type Slow = () => Remainder;

/** Rows of one combination of modes. */
export class Outputs {
  readonly net: AccurateNetwork;
  private readonly bound: Uint8Array;
  /** The steering voltages over x | u, with the columns of dependent states among x. */
  private readonly steers: readonly Vector[];
  /** Substitutes for columns of the net that are no state and no source: q of dependent states, steering voltages. */
  private readonly replaced = new Map<number, Vector>();
  /** Which of the steering voltages is the one between two places, a · places + b. */
  private readonly inputs = new Map<number, number>();
  /** The motion, once it is known. */
  private moved:
    | { readonly slopes: readonly Vector[]; readonly mass: Mass; readonly ties: readonly DependentState[] }
    | undefined;
  private steeringLeft: readonly Vector[] | undefined = undefined;
  private readonly raw: Sum;
  private readonly sum: Sum;

  /**
   * @param doubts takes the parts of rows that are not right to ten digits
   * @throws Unsolvable where the elements have no solution
   */
  constructor(
    private readonly given: Stamps,
    { pins, dependent }: Topology,
    doubts: Set<number>,
  ) {
    const { places, nx, nu, elements } = given;
    this.bound = new Uint8Array(nx);
    for (const { state } of dependent) this.bound[state] = 1;
    this.net = new AccurateNetwork({ places, elements, pins, bound: this.bound, nx, nu }, doubts);
    this.raw = new Sum(this.net.width);
    this.sum = new Sum(nx + 2 * nu);
    this.steers = this.closed();
  }

  /** The states and sources that a dependent state follows. */
  tie({ state, states, levels }: Dependence): DependentState {
    const { raw, net, steers, bound } = this;
    const { nx, elements } = this.given;
    for (const s of states) raw.put(s.state, s.factor);
    for (const { level, factor, steered } of levels) {
      if (typeof level !== "number") raw.put(nx + level.source, factor);
      else if (level !== 0) raw.put(nx, factor * level);
      if (!steered) continue;
      const steer = steers[net.steered.findIndex((i) => elements[i] === steered)];
      // A voltage that steers it must not depend on how fast the state itself changes.
      if (steer.at.some((at) => bound[at] === 1)) throw this.blame([state], steered);
      raw.add(steer, factor * steered.steer!.gain);
    }
    return new DependentState(state, raw.take(), nx);
  }

  /** The quantity that moves each free state: the current of a capacitor, the voltage of an inductor, over x | u. */
  feels(): ReadonlyMap<number, Vector> {
    const { net, bound } = this;
    const feels = new Map<number, Vector>();
    this.given.elements.forEach((e, i) => {
      if (e.state < 0 || bound[e.state] === 1) return;
      feels.set(e.state, this.opened(e.type === "capacitor" ? net.current(i) : this.voltage(e.a, e.b)));
    });
    return feels;
  }

  /** The same in pairs of doubles, without the columns of dependent states. */
  moving(): ReadonlyMap<number, PreciseRow> {
    const { net, bound, steers } = this;
    const moving = new Map<number, PreciseRow>();
    for (const [i, { state }] of this.given.elements.entries())
      if (state >= 0 && bound[state] === 0) moving.set(state, net.moving(i, steers));
    return moving;
  }

  /** Takes the motion; from here on rows over x | u | u' are available. */
  complete(slopes: readonly Vector[], mass: Mass, ties: readonly DependentState[]): void {
    const { sum, steers, replaced } = this;
    this.moved = { slopes, mass, ties };
    for (const { state } of ties) {
      for (const [j, size] of mass.rows[state]) sum.add(slopes[j], size);
      replaced.set(state, sum.take());
    }
    const first = this.given.nx + this.given.nu;
    for (const [s, row] of steers.entries()) replaced.set(first + s, this.row(row));
  }

  /** Voltage of a place against ground. */
  place(p: number): Vector {
    return this.row(this.voltage(p, 0));
  }

  /** Current of an element. */
  current(i: number): Vector {
    return this.row(this.net.current(i));
  }

  /** The rounding error of these in doubles. @param slow that of the slopes of the free states */
  placeRest(p: number, slow: Slow): Vector {
    return this.voltageRest(p, 0, slow);
  }

  private voltageRest(a: number, b: number, slow: Slow): Vector {
    const { places, nx, nu } = this.given;
    const same = this.inputs.get(a * places + b);
    if (same !== undefined) return this.steeredRest(same, slow);
    const turned = this.inputs.get(b * places + a);
    if (turned !== undefined) {
      const { at, of } = this.steeredRest(turned, slow);
      return { at, of: of.map((v) => -v) };
    }
    return this.net.left(
      this.net.fineVoltage(a, b),
      (column) => this.exact(column, slow),
      this.row(this.voltage(a, b)),
      nx + 2 * nu,
    );
  }

  currentRest(i: number, slow: Slow): Vector {
    const { nx, nu } = this.given;
    return this.net.left(
      this.net.fineCurrent(i),
      (column) => this.exact(column, slow),
      this.current(i),
      nx + 2 * nu,
    );
  }

  /** The substitute for a column of the net that is no free state and no source, with its rounding error in doubles. */
  private exact(column: number, slow: Slow): readonly Vector[] | undefined {
    const first = this.given.nx + this.given.nu;
    const row = this.replaced.get(column);
    if (!row) return undefined;
    return [row, column < first ? this.followingRest(column, slow) : this.steeredRest(column - first, slow)];
  }

  /** The rounding error in doubles of the q of a dependent state: of the slopes that make it, and of its own row. */
  private followingRest(state: number, slow: Slow): Vector {
    const { A, B } = slow();
    const { mass, ties, slopes } = this.moved!;
    const { nx, nu } = this.given;
    const sum = trackedSum(doubleDoubles, nx + 2 * nu);
    const put = (k: number, factor: DoubleDouble) => {
      const add = (column: number, value: number) =>
        value === 0 ? undefined : sum.put(column, doubleDoubles.times(factor, doubleDoubles.of(value)), 0);
      const { at, of } = slopes[k];
      for (const [p, column] of at.entries()) add(column, of[p]);
      for (let j = 0; j < nx; j++) add(j, A[k * nx + j]);
      for (let s = 0; s < nu; s++) add(nx + s, B[k * nu + s]);
    };
    for (const [j, size] of mass.rows[state]) {
      const own = doubleDoubles.of(size);
      const tie = ties.find((one) => one.state === j);
      if (!tie) put(j, own);
      else
        for (const [p, k] of tie.row.at.entries()) {
          const factor = doubleDoubles.times(own, doubleDoubles.of(tie.row.of[p]));
          if (k < nx) put(k, factor);
          else if (k > nx) sum.put(k + nu, factor, 0);
        }
    }
    const { at, of } = this.replaced.get(state)!;
    for (const [p, column] of at.entries()) sum.put(column, doubleDoubles.of(-of[p]), 0);
    const left = sum.take();
    return { at: left.at, of: left.of.map(doubleDoubles.value) };
  }

  /** The rounding error in doubles of a steering voltage, over x | u | u'. */
  private steeredRest(s: number, slow: Slow): Vector {
    const { nx, nu } = this.given;
    const own = substituted(this.steersLeft[s], this.sum, (column) => this.replaced.get(column));
    const { at, of } = this.steers[s];
    const follows = [...at.keys()].filter((p) => at[p] < nx && this.bound[at[p]] === 1);
    if (follows.length === 0) return own;
    const rests = new Map(follows.map((p) => [at[p], this.followingRest(at[p], slow)]));
    const sum = new Sum(nx + 2 * nu);
    sum.add(own, 1);
    for (const p of follows) sum.add(rests.get(at[p])!, of[p]);
    return sum.take();
  }

  /** The rounding errors in doubles of the steering voltages, over x | u: the residuals of their equations, solved for all. */
  private get steersLeft(): readonly Vector[] {
    if (this.steeringLeft) return this.steeringLeft;
    const { net, steers, raw } = this;
    const { elements, nx, nu } = this.given;
    const first = nx + nu;
    const rows = net.steered.map((i, s) => {
      const { a, b } = elements[i].steer!;
      const by = (column: number) => (column < first ? undefined : [steers[column - first]]);
      const missed = net.left(net.fineVoltage(a, b), by, steers[s], first);
      const { at, of } = net.voltage(a, b);
      for (const [p, column] of at.entries()) if (column >= first) raw.put(column, of[p]);
      raw.add(missed, 1);
      return raw.take();
    });
    this.steeringLeft = steeringRows(rows, first, raw, () => {});
    return this.steeringLeft;
  }

  /**
   * The row of a guard: positive when violated. A guard is at zero when its part has changed mode, so steering voltages and
   * dependent states must not add more there than the rounding of the row itself: where terms cancelled, the rounding error
   * in doubles is added.
   */
  guard(guard: PartGuard, slow: Slow): Vector {
    const { sum } = this;
    const watched = this.watched(guard);
    const row = this.row(watched);
    if (row === watched || !cancels(watched, row, sum, (column) => this.replaced.get(column))) return row;
    const { of, side } = guard.guard;
    const rest =
      "element" in of
        ? this.currentRest(this.given.firsts[guard.part] + of.element, slow)
        : this.voltageRest(of.a, of.b, slow);
    sum.add(row, 1);
    sum.add(rest, side === "above" ? 1 : -1);
    return sum.take();
  }

  /** The same, with the columns of dependent states standing for their q. */
  impulse(guard: PartGuard): Vector {
    return this.opened(this.watched(guard));
  }

  /** Voltage of a place and current of an element, likewise. */
  impulseAt(p: number): Vector {
    return this.opened(this.voltage(p, 0));
  }

  impulseThrough(i: number): Vector {
    return this.opened(this.net.current(i));
  }

  /** The error that blames the parts of some states, and of a steered element. */
  blame(states: readonly number[], steered?: Element): Unsolvable {
    const { elements } = this.given;
    const to = [...elements.keys()].filter((i) => {
      const e = elements[i];
      return e === steered || (e.state >= 0 && states.includes(e.state));
    });
    return new Unsolvable("ill-conditioned", partsOf(elements, to));
  }

  private watched({ part, guard: { of, side, level } }: PartGuard): Vector {
    const { net, raw } = this;
    const { firsts, nx } = this.given;
    const sign = side === "above" ? 1 : -1;
    raw.add("element" in of ? net.current(firsts[part] + of.element) : this.voltage(of.a, of.b), sign);
    if (level !== 0) raw.put(nx, -sign * level);
    return raw.take();
  }

  /** v(a) − v(b): as its own column where it steers something, so that the input of an amplifier is not a difference. */
  private voltage(a: number, b: number): Vector {
    const { places, nx, nu } = this.given;
    const column = nx + nu;
    const same = this.inputs.get(a * places + b);
    if (same !== undefined) return { at: [column + same], of: [1] };
    const turned = this.inputs.get(b * places + a);
    if (turned !== undefined) return { at: [column + turned], of: [-1] };
    return this.net.voltage(a, b);
  }

  /** Every steering voltage over x | u, with the columns of dependent states among x. */
  private closed(): readonly Vector[] {
    const { net } = this;
    const { elements, nx, nu } = this.given;
    if (net.steered.length === 0) return [];
    const rows = net.steered.map((i, s) => {
      const { a, b } = elements[i].steer!;
      if (a !== b) this.inputs.set(a * this.given.places + b, s);
      return net.voltage(a, b);
    });
    const about = (group: readonly number[]) =>
      partsOf(
        elements,
        group.map((i) => net.steered[i]),
      );
    try {
      return steeringRows(rows, nx + nu, this.raw, (group) => {
        for (const part of about(group)) net.doubts.add(part);
      });
    } catch (error) {
      throw error instanceof Degenerate ? new Unsolvable("ill-conditioned", about(error.group)) : error;
    }
  }

  /** A row of the net with the steering voltages substituted; the columns of dependent states stay. */
  private opened(row: Vector): Vector {
    const { steers } = this;
    const first = this.given.nx + this.given.nu;
    const { at } = row;
    if (at.length === 0 || at[at.length - 1] < first) return row;
    return substituted(row, this.raw, (column) => steers[column - first]);
  }

  private row(raw: Vector): Vector {
    const { replaced } = this;
    if (replaced.size === 0 || !raw.at.some((column) => replaced.has(column))) return raw;
    return substituted(raw, this.sum, (column) => replaced.get(column));
  }
}
