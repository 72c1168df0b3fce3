// Any voltage and any current of one combination of modes, right to about ten digits or reported as not: usually in doubles,
// and computed again in pairs of doubles where so much of a row cancelled that ten digits are not left. The choice depends
// on the row alone.
import type { Place } from "../parts/contract.js";
import { type Arithmetic, type DoubleDouble, doubleDoubles, doubles } from "./arithmetic.js";
import type { Element } from "./elements.js";
import { type NetPlan, Network } from "./network.js";
import type { PreciseRow } from "./remainder.js";
import { none, Sum, type TrackedRow, trackedSum, type Vector } from "./vector.js";

/** The largest share of an entry that may be rounding in a row that counts as right. */
const allowed = 1e-10;

/** Voltages and currents over states | sources | steering voltages. */
export class AccurateNetwork {
  private finer: Network<DoubleDouble> | undefined = undefined;
  private readonly coarse: Network<number>;

  /**
   * @param doubts takes the parts of rows for which even pairs of doubles are not enough
   * @throws Unsolvable as `Network` does
   */
  constructor(
    private readonly plan: NetPlan,
    public doubts: Set<number>,
  ) {
    this.coarse = new Network(plan, doubles);
  }

  /** The steered elements; the first one's column is nx + nu. */
  get steered(): readonly number[] {
    return this.coarse.steered;
  }

  /** Number of columns. */
  get width(): number {
    return this.coarse.firstLevel;
  }

  /** v(a) − v(b). */
  voltage(a: Place, b: Place): Vector {
    const touches = (e: Element) => e.a === a || e.b === a || e.a === b || e.b === b;
    return this.right(this.coarse.voltage(a, b), (fine) => fine.voltage(a, b), touches);
  }

  /** The current of an element. */
  current(i: number): Vector {
    const own = (e: Element) => e === this.plan.elements[i];
    return this.right(this.coarse.current(i), (fine) => fine.current(i), own);
  }

  /**
   * What moves a state (the current of a capacitor, the voltage of a coil) in pairs of doubles, with all constants in their
   * one column.
   * @param steers the steering voltages, over x | u
   */
  moving(i: number, steers: readonly Vector[]): PreciseRow {
    const { fine } = this;
    const { nx, nu, bound, elements } = this.plan;
    const { a, b, type } = elements[i];
    const { firstLevel, levels } = fine;
    const { at, of } = type === "capacitor" ? fine.current(i) : fine.voltage(a, b);
    const sum = trackedSum(doubleDoubles, nx + nu);
    const doubtful = new Sum(nx + nu);
    for (const [p, column] of at.entries()) {
      if (column >= firstLevel)
        sum.put(nx, doubleDoubles.times(of[p], doubleDoubles.of(levels[column - firstLevel])), 0);
      else if (column < nx + nu) {
        if (column >= nx || bound[column] === 0) sum.put(column, of[p], 0);
      } else {
        const steer = steers[column - nx - nu];
        const own = steer.at.flatMap((c, q) => (c < nx && bound[c] === 1 ? [] : [q]));
        const row = own.map((q) => doubleDoubles.of(steer.of[q]));
        const columns = own.map((q) => steer.at[q]);
        sum.add({ at: columns, of: row, off: own.map(() => 0) }, of[p]);
        const size = Math.abs(doubleDoubles.value(of[p]));
        // A gain of one is exact: the input of a follower is not a rounded number.
        for (const q of own)
          if (Math.abs(steer.of[q]) !== 1) doubtful.put(steer.at[q], size * Math.abs(steer.of[q]));
      }
    }
    return { row: sum.take(), steered: doubtful.take() };
  }

  /** v(a) − v(b) and the current of an element in pairs of doubles, over the columns of a net. */
  fineVoltage(a: Place, b: Place): TrackedRow<DoubleDouble> {
    return this.fine.voltage(a, b);
  }

  fineCurrent(i: number): TrackedRow<DoubleDouble> {
    return this.fine.current(i);
  }

  /**
   * The rounding error of a row in doubles.
   * @param fine the row in pairs
   * @param by what a column stands for, as a sum of rows; undefined for one that stays
   * @param row the row in doubles, with these substituted
   * @param width columns
   */
  left(
    { at, of }: TrackedRow<DoubleDouble>,
    by: (column: number) => readonly Vector[] | undefined,
    row: Vector,
    width: number,
  ): Vector {
    const { firstLevel, levels } = this.fine;
    const sum = trackedSum(doubleDoubles, width);
    for (const [p, column] of at.entries()) {
      const level =
        column < firstLevel ? undefined : { at: [this.plan.nx], of: [levels[column - firstLevel]] };
      for (const one of level ? [level] : (by(column) ?? [{ at: [column], of: [1] }]))
        for (const [q, to] of one.at.entries())
          sum.put(to, doubleDoubles.times(of[p], doubleDoubles.of(one.of[q])), 0);
    }
    for (const [p, column] of row.at.entries()) sum.put(column, doubleDoubles.of(-row.of[p]), 0);
    const left = sum.take();
    return { at: left.at, of: left.of.map(doubleDoubles.value) };
  }

  private right(
    row: TrackedRow<number>,
    again: (fine: Network<DoubleDouble>) => TrackedRow<DoubleDouble>,
    about: (e: Element) => boolean,
  ): Vector {
    if (row.at.length === 0) return none;
    if (isRight(row, doubles)) return this.together(row);
    const { at, of, off } = again(this.fine);
    const kept = [...at.keys()].filter((p) => Math.abs(doubleDoubles.value(of[p])) > 16 * off[p]);
    const clean = { at: kept.map((p) => at[p]), of: kept.map((p) => of[p]), off: kept.map((p) => off[p]) };
    if (!isRight(clean, doubleDoubles))
      for (const e of this.plan.elements) if (about(e)) this.doubts.add(e.part);
    return this.together({ at: clean.at, of: clean.of.map(doubleDoubles.value) });
  }

  /** Collects the constants in their one column. */
  private together({ at, of }: Vector): Vector {
    const { nx } = this.plan;
    const { firstLevel, levels } = this.coarse;
    const last = at.length - 1;
    if (last < 0 || at[last] < firstLevel) return { at, of };
    const columns: number[] = [];
    const values: number[] = [];
    let p = 0;
    for (; at[p] < nx; p++) {
      columns.push(at[p]);
      values.push(of[p]);
    }
    const here = columns.push(nx) - 1;
    values.push(0);
    for (; p <= last; p++) {
      if (at[p] >= firstLevel) values[here] += levels[at[p] - firstLevel] * of[p];
      else {
        columns.push(at[p]);
        values.push(of[p]);
      }
    }
    return { at: columns, of: values };
  }

  private get fine(): Network<DoubleDouble> {
    this.finer ??= new Network(this.plan, doubleDoubles);
    return this.finer;
  }
}

function isRight<T>({ of, off }: TrackedRow<T>, { value }: Arithmetic<T>): boolean {
  for (let p = 0; p < of.length; p++) if (!(off[p] <= allowed * Math.abs(value(of[p])))) return false;
  return true;
}
