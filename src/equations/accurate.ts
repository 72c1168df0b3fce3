// Any voltage and any current of one combination of modes, right to some ten digits or said not to be. In doubles as a
// rule; a row in which so much cancelled that ten digits are not left is worked out anew in pairs of doubles. What
// always holds: which of the two it is depends on the row alone.
import type { Place } from "../parts/contract.js";
import { type Arithmetic, type DoubleDouble, doubleDoubles, doubles } from "./arithmetic.js";
import type { Element } from "./elements.js";
import { Network } from "./network.js";
import type { PreciseRow } from "./remainder.js";
import { none, Sum, type TrackedRow, trackedSum, type Vector } from "./vector.js";

/** The share of an entry that rounding may have made of it at most, in a row that counts as right. */
const allowed = 1e-10;

/** Voltages and currents over states | sources | what steers. */
export class AccurateNetwork {
  private fine: Network<DoubleDouble> | undefined;
  private readonly coarse: Network<number>;

  /** @throws Fault as `Network` does */
  constructor(
    private readonly places: number,
    private readonly elements: readonly Element[],
    private readonly pins: readonly Place[],
    private readonly bound: Uint8Array,
    private readonly nx: number,
    private readonly nu: number,
    /** Takes the parts of rows that pairs of doubles do not suffice for. */
    private readonly doubts: Set<number>,
  ) {
    this.coarse = this.network(doubles);
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
    const own = (e: Element) => e === this.elements[i];
    return this.right(this.coarse.current(i), (fine) => fine.current(i), own);
  }

  /**
   * What moves a state (the current of a capacitor, the voltage of a coil) in pairs of doubles, the constants in their one
   * column.
   * @param steers what steers, over x | u
   */
  moving(i: number, steers: readonly Vector[]): PreciseRow {
    this.fine ??= this.network(doubleDoubles);
    const { fine, nx, nu, bound } = this;
    const { a, b, type } = this.elements[i];
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
        // One is one: the input of a follower is no rounded number.
        for (const q of own)
          if (Math.abs(steer.of[q]) !== 1) doubtful.put(steer.at[q], size * Math.abs(steer.of[q]));
      }
    }
    return { row: sum.take(), steered: doubtful.take() };
  }

  private right(
    row: TrackedRow<number>,
    again: (fine: Network<DoubleDouble>) => TrackedRow<DoubleDouble>,
    about: (e: Element) => boolean,
  ): Vector {
    if (row.at.length === 0) return none;
    if (isRight(row, doubles)) return this.together(row);
    this.fine ??= this.network(doubleDoubles);
    const fine = again(this.fine);
    const { at, of, off } = fine;
    const kept = [...at.keys()].filter((p) => Math.abs(doubleDoubles.value(of[p])) > 16 * off[p]);
    const clean = { at: kept.map((p) => at[p]), of: kept.map((p) => of[p]), off: kept.map((p) => off[p]) };
    if (!isRight(clean, doubleDoubles)) for (const e of this.elements) if (about(e)) this.doubts.add(e.part);
    return this.together({ at: clean.at, of: clean.of.map(doubleDoubles.value) });
  }

  /** The constants in their one column. */
  private together({ at, of }: Vector): Vector {
    const { nx, coarse } = this;
    const { firstLevel, levels } = coarse;
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

  private network<T>(numbers: Arithmetic<T>): Network<T> {
    return new Network(this.places, this.elements, this.pins, this.bound, this.nx, this.nu, numbers);
  }
}

function isRight<T>({ of, off }: TrackedRow<T>, { value }: Arithmetic<T>): boolean {
  for (let p = 0; p < of.length; p++) if (!(off[p] <= allowed * Math.abs(value(of[p])))) return false;
  return true;
}
