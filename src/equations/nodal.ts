// The modified nodal analysis (MNA) of one combination of modes: place voltages and the currents of everything that is
// held are the unknowns, each element stamps its share, ml-matrix factorises. Free capacitors stand as held
// voltages and free inductors as pushed currents, so the matrix does not depend on the step size: nothing is lost
// when a step is as short as a rounding error. C.-W. Ho, A. Ruehli, P. Brennan, IEEE Trans. Circuits and Systems
// 22(6), 1975.
import { Matrix } from "ml-matrix";
import type { Level, Place } from "../parts/contract.js";
import type { Element } from "./elements.js";
import { type Entry, solve } from "./solve.js";

/**
 * What every voltage and current is made of: one column for each state (of a dependent state: for its q, the
 * current of a capacitor or the voltage of an inductor), then one for each source, constants first.
 */
export class Nodal {
  private readonly answers: Matrix;
  private readonly branches = new Map<Element, number>();

  /**
   * @param places number of places, ground included
   * @param pins places to hold at ground because nothing else ties their part of the circuit down
   * @param bound dependent states
   * @param thin factorise sparsely
   * @throws Fault where the matrix is singular
   */
  constructor(
    places: number,
    readonly elements: readonly Element[],
    pins: readonly Place[],
    bound: ReadonlySet<number>,
    readonly nx: number,
    nu: number,
    thin: boolean,
  ) {
    const nodes = places - 1;
    for (const e of elements) if (isHeld(e, bound)) this.branches.set(e, nodes + this.branches.size);
    const size = nodes + this.branches.size + pins.length;
    const matrix: Entry[] = [];
    const right = Matrix.zeros(size, nx + nu);
    const add = (row: number, column: number, value: number) => {
      if (row >= 0 && column >= 0) matrix.push([row, column, value]);
    };
    const feed = (row: number, column: number, value: number) => {
      if (row >= 0) right.set(row, column, right.get(row, column) + value);
    };
    for (const e of elements) {
      const [a, b] = [e.a - 1, e.b - 1];
      const branch = this.branches.get(e);
      if (branch !== undefined) {
        for (const [node, sign] of [
          [a, 1],
          [b, -1],
        ] as const) {
          add(node, branch, sign);
          add(branch, node, sign);
        }
        if (e.type === "hold") add(branch, branch, -e.size);
        if (e.steer) {
          add(branch, e.steer.a - 1, -e.steer.gain);
          add(branch, e.steer.b - 1, e.steer.gain);
        }
        const [column, value] = e.type === "hold" ? this.columnOf(e.level) : [e.state, 1];
        feed(branch, column, value);
      } else if (e.type === "resistor") {
        for (const [row, column, sign] of [
          [a, a, 1],
          [b, b, 1],
          [a, b, -1],
          [b, a, -1],
        ] as const) {
          add(row, column, sign / e.size);
        }
      } else {
        const [column, value] = e.type === "push" ? this.columnOf(e.level) : [e.state, 1];
        feed(a, column, -value);
        feed(b, column, value);
        if (e.steer) {
          for (const [row, sign] of [
            [a, 1],
            [b, -1],
          ] as const) {
            add(row, e.steer.a - 1, sign * e.steer.gain);
            add(row, e.steer.b - 1, -sign * e.steer.gain);
          }
        }
      }
    }
    for (const [i, place] of pins.entries()) {
      const branch = nodes + this.branches.size + i;
      add(place - 1, branch, 1);
      add(branch, place - 1, 1);
    }
    this.answers = solve(matrix, right, thin, () => elements);
  }

  /** Share of a column in the voltage between two places. */
  voltage(a: Place, b: Place, column: number): number {
    return (a > 0 ? this.answers.get(a - 1, column) : 0) - (b > 0 ? this.answers.get(b - 1, column) : 0);
  }

  /** Share of a column in the current of an element. */
  current(e: Element, column: number): number {
    const branch = this.branches.get(e);
    if (branch !== undefined) return this.answers.get(branch, column);
    if (e.type === "resistor") return this.voltage(e.a, e.b, column) / e.size;
    const [at, value] = e.type === "push" ? this.columnOf(e.level) : [e.state, 1];
    const steered = e.steer ? e.steer.gain * this.voltage(e.steer.a, e.steer.b, column) : 0;
    return steered + (at === column ? value : 0);
  }

  /** Column of a level, and the factor on it. */
  columnOf(level: Level): [number, number] {
    return typeof level === "number" ? [this.nx, level] : [this.nx + level.source, 1];
  }
}

function isHeld(e: Element, bound: ReadonlySet<number>): boolean {
  if (e.type === "hold") return true;
  return (e.type === "capacitor" && !bound.has(e.state)) || (e.type === "inductor" && bound.has(e.state));
}
