// The energy that the elements of one combination exchange over any time without a corner, exactly. A power is a product of two
// rows over z. Heat in a resistor is a square, and over a leap a sum of squares of rows over the z at its start (squares.ts); work
// at anything else is a symmetric matrix (works.ts). For two leaps in a row S(a + b) = S(a) + S(b) e^(Aa), so doubling gives every
// length (C. F. Van Loan, IEEE Trans. Autom. Control 23(3), 1978, integrates the same by one exponential), from the part of a
// tick that is short beside every time constant: there Gauss's three-point rule or a series does. Energy delivered and energy
// dissipated are integrated separately, never one as the remainder of the other.
import type { Element } from "../equations/elements.js";
import type { Combination } from "../equations/system.js";
import { powerOfTwo } from "../stepping/binary.js";
import type { Course } from "../stepping/courses.js";
import { currentForm, type Form, voltageForm } from "./forms.js";
import { leapFormOf } from "./leapforms.js";
import { bothSums, emptySum, type SumOfSquares, sumAt, triangular } from "./squares.js";
import {
  bothWorks,
  type ExactRow,
  type Product,
  powerMatrix,
  powerOfSecond,
  type Work,
  WorkChain,
  workAt,
} from "./works.js";

/** Energy exchanged, J. */
export interface Exchange {
  delivered: number;
  dissipated: number;
  /** Sum of the absolute terms, before they cancel: rounding is a share of it. */
  terms: number;
}

/** What is exchanged over a time, or, as a power, at an instant, by the z at its start. */
interface Exchanged {
  /** Heat of the resistors. */
  readonly heat: SumOfSquares;
  /** Drawn from the sources, and taken up by all that is neither. */
  readonly drawn: Work;
  readonly taken: Work;
}

/** Nodes and weights of Gauss's three-point rule on 0 … 1 (Abramowitz & Stegun, 1964, 25.4.30). */
const nodes = [0.5 - Math.sqrt(0.15), 0.5, 0.5 + Math.sqrt(0.15)];
const weights = [5 / 18, 8 / 18, 5 / 18];

/** Lengths are split into digits of this base. */
const places = 4;
const base = 2 ** places;
/** How often a length is taken by its digits before it gets squares of its own, and the most lengths that get them. */
const seldom = 12;
const mostKept = 256;

export class EnergyIntegral {
  private readonly power: Exchanged;
  private readonly drawn: WorkChain;
  private readonly taken: WorkChain;
  private readonly digits: (Exchanged | undefined)[] = [];
  private readonly own = new Map<number, Exchanged>();
  private readonly uses = new Map<number, number>();
  /** Those that overflow. */
  private readonly endless = new Set<Exchanged>();
  private readonly unit: number;
  private readonly width: number;
  private readonly y: Float64Array;

  /**
   * @param at the combination whose rows hold
   * @param course how z moves there; every source that carries power is in it
   * @param delivers whether what a part takes up counts as drawn from a source, by index
   */
  constructor(
    at: Combination,
    private readonly course: Course,
    delivers: readonly boolean[],
  ) {
    this.width = course.motion.width;
    this.y = new Float64Array(this.width);
    this.unit = 2 ** course.matrices.doubling.least;
    const { heat, drawn, taken } = this.powersOf(at, delivers);
    this.drawn = new WorkChain(drawn, course);
    this.taken = new WorkChain(taken, course);
    this.power = {
      heat: heat.length > 0 ? triangular(Float64Array.from(heat), this.width) : emptySum,
      drawn: powerOfSecond(drawn),
      taken: powerOfSecond(taken),
    };
  }

  /** Adds the energy exchanged in `ticks` from z on, and moves z there. */
  over(z: Float64Array, ticks: number, sum: Exchange): void {
    const { matrices } = this.course;
    const known = this.known(ticks);
    if (known && !this.endless.has(known)) {
      add(known, z, 1, sum);
      matrices.leap(z, ticks, true);
      return;
    }
    const { unit } = this;
    let high = Math.floor(ticks / unit);
    const low = ticks - high * unit;
    let place = 1;
    let index = 0;
    while (place * base <= high) {
      place *= base;
      index++;
    }
    for (; high > 0; place /= base, index--) {
      const digit = Math.floor(high / place);
      if (digit === 0) continue;
      high -= digit * place;
      const squares = this.digit(index, digit);
      // What overflows is split into shorter lengths: what makes them overflow may be zero in z.
      if (this.endless.has(squares) && digit * place * unit > 1) {
        for (const part of halves(digit * place * unit)) this.over(z, part, sum);
        continue;
      }
      add(squares, z, 1, sum);
      matrices.leap(z, digit * place * unit, false);
    }
    if (low > 0) this.brief(z, low, sum);
  }

  /** The same for a time short beside every time constant. */
  private brief(z: Float64Array, ticks: number, sum: Exchange): void {
    const { y, course, power } = this;
    const seconds = ticks * course.matrices.tick;
    for (let k = 0; k < nodes.length; k++) {
      y.set(z);
      course.matrices.series(y, nodes[k] * seconds);
      add(power, y, weights[k] * seconds, sum);
    }
    course.matrices.leap(z, ticks, false);
  }

  /** The squares of a length that has recurred often. */
  private known(ticks: number): Exchanged | undefined {
    const found = this.own.get(ticks);
    if (found || this.own.size >= mostKept) return found;
    const uses = (this.uses.get(ticks) ?? 0) + 1;
    if (this.uses.size >= 16 * mostKept) this.uses.clear();
    this.uses.set(ticks, uses);
    if (uses < seldom) return undefined;
    const made = this.made(ticks);
    this.own.set(ticks, made);
    if (!finite(made)) this.endless.add(made);
    return made;
  }

  private made(ticks: number): Exchanged {
    const { unit } = this;
    let high = Math.floor(ticks / unit);
    let done = ticks - high * unit;
    let all = done > 0 ? this.short(done) : undefined;
    for (let place = 1, index = 0; high > 0; place *= base, index++) {
      const rest = Math.floor(high / base);
      const digit = high - rest * base;
      high = rest;
      if (digit === 0) continue;
      const next = this.digit(index, digit);
      all = all ? this.after(all, done, next) : next;
      done += digit * place * unit;
    }
    return all!;
  }

  private digit(index: number, digit: number): Exchanged {
    const at = index * base + digit;
    let found = this.digits[at];
    if (found) return found;
    if (digit === 1) {
      const half = base / 2;
      const before = unitOf(index - 1) * this.unit * half;
      const lower = index > 0 ? this.digit(index - 1, half) : undefined;
      found = this.sixteenfold(index, lower ? this.heatAfter(lower.heat, before, lower.heat) : this.seed());
    } else {
      const one = digit >> 1;
      const first = this.digit(index, one);
      const length = one * unitOf(index) * this.unit;
      found = this.after(first, length, first);
      if (digit % 2 === 1) found = this.after(found, 2 * length, this.digit(index, 1));
    }
    this.digits[at] = found;
    if (!finite(found)) this.endless.add(found);
    return found;
  }

  /** What is exchanged over 16^index units, whose heat is given. */
  private sixteenfold(index: number, heat: SumOfSquares): Exchanged {
    const exponent = this.course.matrices.doubling.least + places * index;
    return { heat, drawn: this.drawn.over(exponent), taken: this.taken.over(exponent) };
  }

  /** What is exchanged over a whole length that is short beside every time constant. */
  private short(ticks: number): Exchanged {
    const seconds = ticks * this.course.matrices.tick;
    return {
      heat: this.summed(ticks),
      drawn: this.drawn.briefly(seconds),
      taken: this.taken.briefly(seconds),
    };
  }

  /** One length followed by another. */
  private after(first: Exchanged, ticks: number, second: Exchanged): Exchanged {
    return {
      heat: this.heatAfter(first.heat, ticks, second.heat),
      drawn: this.workAfter(first.drawn, ticks, second.drawn),
      taken: this.workAfter(first.taken, ticks, second.taken),
    };
  }

  private workAfter(first: Work, ticks: number, second: Work): Work {
    return bothWorks(first, second, this.width, (row) => this.course.matrices.pull(row, ticks));
  }

  private heatAfter(first: SumOfSquares, ticks: number, second: SumOfSquares): SumOfSquares {
    const pull = (row: Float64Array) => this.course.matrices.pull(row, ticks);
    return bothSums(first, this.moved(second, pull), this.width);
  }

  /** Heat of the shortest whole length: doubled from the part of a tick that is short beside every time constant. */
  private seed(): SumOfSquares {
    const { matrices } = this.course;
    const { finest, least } = matrices.doubling;
    let found = this.summed(powerOfTwo(finest));
    for (let exponent = finest; exponent < least; exponent++) {
      const E = matrices.doubling.power(exponent);
      const moved = this.moved(found, (row) => matrices.pullOver(row, E));
      found = bothSums(found, moved, this.width);
    }
    return found;
  }

  /** Heat of a time short beside every time constant. */
  private summed(ticks: number): SumOfSquares {
    const { width, course } = this;
    const { rows } = this.power.heat;
    const seconds = ticks * course.matrices.tick;
    const all = new Float64Array(nodes.length * rows.length);
    for (let n = 0; n < nodes.length; n++) {
      const root = Math.sqrt(weights[n] * seconds);
      for (let i = 0; i < rows.length; i += width) {
        const row = rows.slice(i, i + width);
        course.matrices.pullSeries(row, nodes[n] * seconds);
        for (let j = 0; j < width; j++) all[n * rows.length + i + j] = root * row[j];
      }
    }
    return triangular(all, width);
  }

  /** Each row pulled back in time. */
  private moved({ count, rows }: SumOfSquares, pull: (row: Float64Array) => void): SumOfSquares {
    const { width } = this;
    const moved = rows.slice();
    for (let i = 0; i < count; i++) pull(moved.subarray(i * width, (i + 1) * width));
    return { count, rows: moved };
  }

  /** The power at an instant. */
  private powersOf({ equations }: Combination, delivers: readonly boolean[]) {
    const { width, course } = this;
    const heat: number[] = [];
    const [sources, others]: Product[][] = [[], []];
    const exact = (form: Form): ExactRow => {
      const { value, rest } = leapFormOf(form, course);
      return { value, rest: rest?.() ?? new Float64Array(width) };
    };
    equations.elements.forEach((e: Element, i) => {
      if (e.state >= 0) return;
      if (e.type === "resistor") {
        for (const v of leapFormOf(currentForm(equations, i), course).value) heat.push(v * Math.sqrt(e.size));
        return;
      }
      const product = {
        volts: exact(voltageForm(equations, e.a, e.b)),
        amps: exact(currentForm(equations, i)),
      };
      if (delivers[e.part]) sources.push({ ...product, factor: -1 });
      else others.push({ ...product, factor: 1 });
    });
    return { heat, drawn: powerMatrix(sources, width), taken: powerMatrix(others, width) };
  }
}

function finite({ heat, drawn, taken }: Exchanged): boolean {
  return [heat.rows, drawn.sum, taken.sum].every((entries) =>
    Number.isFinite(entries.reduce((sum, v) => sum + Math.abs(v), 0)),
  );
}

/** Splits a length into two of whole ticks. */
function halves(ticks: number): [number, number] {
  const first = Math.floor(ticks / 2);
  return [first, ticks - first];
}

function unitOf(index: number): number {
  return base ** Math.max(0, index);
}

function add({ heat, drawn, taken }: Exchanged, z: Float64Array, by: number, sum: Exchange): void {
  const hot = sumAt(heat, z);
  const [from, to] = [workAt(drawn, z), workAt(taken, z)];
  sum.delivered += by * from.done;
  sum.dissipated += by * (hot + to.done);
  sum.terms += by * (hot + from.terms + to.terms);
}
