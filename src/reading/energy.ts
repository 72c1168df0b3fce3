// The energy that the elements of one combination exchange over any time without a corner, exactly. A power is a product of two
// rows over z, so a difference of squares. Over a leap each is a sum of squares of rows over the z at its start: for two leaps in
// a row S(a + b) = S(a) + S(b) e^(Aa), so doubling gives every length (C. F. Van Loan, IEEE Trans. Autom. Control 23(3), 1978,
// integrates the same by one exponential). Below the shortest such length Gauss's three-point rule does: every time constant is
// long beside it. Energy delivered and energy dissipated are integrated separately, never one as the remainder of the other.
import type { Element } from "../equations/elements.js";
import type { Combination } from "../equations/system.js";
import { powerOfTwo } from "../stepping/binary.js";
import type { Course } from "../stepping/courses.js";
import { currentForm, voltageForm } from "./forms.js";
import { leapFormOf } from "./leapforms.js";
import { bothSums, emptySum, type SumOfSquares, sumAt, triangular } from "./squares.js";

/** Energy exchanged, J. */
export interface Exchange {
  delivered: number;
  dissipated: number;
  /** Sum of the absolute terms, before they cancel: rounding is a share of it. */
  terms: number;
}

/** Squares to add and to subtract for the energy delivered, then for the energy dissipated. */
type Squares = readonly [SumOfSquares, SumOfSquares, SumOfSquares, SumOfSquares];

/** Nodes and weights of Gauss's three-point rule on 0 … 1 (Abramowitz & Stegun, 1964, 25.4.30). */
const nodes = [0.5 - Math.sqrt(0.15), 0.5, 0.5 + Math.sqrt(0.15)];
const weights = [5 / 18, 8 / 18, 5 / 18];

/** Lengths are split into digits of this base. */
const base = 16;
/** How often a length is taken by its digits before it gets squares of its own, and the most lengths that get them. */
const seldom = 12;
const mostKept = 256;

/** Energy integrals of one combination. */
export class EnergyIntegral {
  private readonly power: Squares;
  private readonly digits: (Squares | undefined)[] = [];
  private readonly own = new Map<number, Squares>();
  private readonly uses = new Map<number, number>();
  /** Those that overflow. */
  private readonly endless = new Set<Squares>();
  private readonly unit: number;
  private readonly width: number;
  private readonly y: Float64Array;

  /**
   * @param at the combination whose rows hold
   * @param course how z moves there; every source that carries power is in it
   * @param delivers whether what a part takes up counts as drawn from a source, by index
   * @param first an example of z: gives the ratio of slopes to levels of its sources
   */
  constructor(
    at: Combination,
    private readonly course: Course,
    delivers: readonly boolean[],
    first: Float64Array,
  ) {
    this.width = course.motion.width;
    this.y = new Float64Array(this.width);
    this.unit = 2 ** course.matrices.doubling.least;
    this.power = this.powerOf(at, delivers, steepness(first, course));
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
      // Squares that overflow are split into shorter lengths: what makes them overflow may be zero in z.
      if (this.endless.has(squares)) {
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
  private known(ticks: number): Squares | undefined {
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

  private made(ticks: number): Squares {
    const { unit } = this;
    let high = Math.floor(ticks / unit);
    let done = ticks - high * unit;
    let all = done > 0 ? this.summed(done) : undefined;
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

  private digit(index: number, digit: number): Squares {
    const at = index * base + digit;
    let found = this.digits[at];
    if (found) return found;
    if (digit === 1) {
      const half = base / 2;
      const before = unitOf(index - 1) * this.unit * half;
      const lower = index > 0 ? this.digit(index - 1, half) : undefined;
      found = lower ? this.after(lower, before, lower) : this.seed();
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

  /** One length followed by another. */
  private after(first: Squares, ticks: number, second: Squares): Squares {
    return mapped((k) => bothSums(first[k], this.pulled(second[k], ticks), this.width));
  }

  /** Squares of the shortest whole length: doubled from the part of a tick that is short beside every time constant. */
  private seed(): Squares {
    const { width, course } = this;
    const { matrices } = course;
    const { finest, least } = matrices.doubling;
    let found = this.summed(powerOfTwo(finest));
    for (let exponent = finest; exponent < least; exponent++) {
      const E = matrices.doubling.power(exponent);
      const moved = mapped((k) => this.moved(found[k], (row) => matrices.pullOver(row, E)));
      const first = found;
      found = mapped((k) => bothSums(first[k], moved[k], width));
    }
    return found;
  }

  /** Squares of a time short beside every time constant. */
  private summed(ticks: number): Squares {
    const { width, course, power } = this;
    const seconds = ticks * course.matrices.tick;
    return mapped((k) => {
      const { rows } = power[k];
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
    });
  }

  private pulled(squares: SumOfSquares, ticks: number): SumOfSquares {
    return this.moved(squares, (row) => this.course.matrices.pull(row, ticks));
  }

  /** Each row pulled back in time. */
  private moved({ count, rows }: SumOfSquares, pull: (row: Float64Array) => void): SumOfSquares {
    const { width } = this;
    const moved = rows.slice();
    for (let i = 0; i < count; i++) pull(moved.subarray(i * width, (i + 1) * width));
    return { count, rows: moved };
  }

  /** The power at an instant, as squares. */
  private powerOf({ equations }: Combination, delivers: readonly boolean[], steep: number): Squares {
    const { width, course } = this;
    const rows: number[][] = [[], [], [], []];
    const put = (into: number, row: Float64Array, by: number) => {
      for (const v of row) rows[into].push(v * by);
    };
    equations.elements.forEach((e: Element, i) => {
      if (e.state >= 0) return;
      const current = leapFormOf(currentForm(equations, i), course).value;
      if (e.type === "resistor") {
        put(2, current, Math.sqrt(e.size));
        return;
      }
      const across = leapFormOf(voltageForm(equations, e.a, e.b), course).value;
      const [volts, amps] = [largest(across, course, steep), largest(current, course, steep)];
      if (volts === 0 || amps === 0) return;
      // v i = ((v/s + s i)/2)² − ((v/s − s i)/2)², with s such that both terms are of one size.
      const s = Math.sqrt(volts / amps);
      const half = across.map((v, j) => (v / s + s * current[j]) / 2);
      const other = across.map((v, j) => (v / s - s * current[j]) / 2);
      const source = delivers[e.part];
      put(source ? 1 : 2, half, 1);
      put(source ? 0 : 3, other, 1);
    });
    return mapped((k) => (rows[k].length === 0 ? emptySum : triangular(Float64Array.from(rows[k]), width)));
  }
}

function finite(squares: Squares): boolean {
  return squares.every(({ rows }) => Number.isFinite(rows.reduce((sum, v) => sum + Math.abs(v), 0)));
}

/** Splits a length into two of whole ticks. */
function halves(ticks: number): [number, number] {
  const first = Math.floor(ticks / 2);
  return [first, ticks - first];
}

function unitOf(index: number): number {
  return base ** Math.max(0, index);
}

/** The largest entry of a row; where only slopes of sources (per second) are not zero, `steep` times the largest of these. */
function largest(row: Float64Array, { motion }: Course, steep: number): number {
  let [most, slopes] = [0, 0];
  for (let j = 0; j < row.length; j++) {
    const slope = j > motion.one && (j - motion.one) % 2 === 0;
    if (slope) slopes = Math.max(slopes, Math.abs(row[j]));
    else most = Math.max(most, Math.abs(row[j]));
  }
  return most > 0 ? most : steep * slopes;
}

/** The largest slope of a source in z over the largest level, 1/s; 1 where nothing rises. */
function steepness(z: Float64Array, { motion }: Course): number {
  let [level, slope] = [0, 0];
  for (let j = motion.one + 1; j < motion.width; j += 2) {
    level = Math.max(level, Math.abs(z[j]));
    slope = Math.max(slope, Math.abs(z[j + 1]));
  }
  return slope > 0 && level > 0 ? slope / level : 1;
}

function mapped(make: (k: number) => SumOfSquares): Squares {
  return [make(0), make(1), make(2), make(3)];
}

function add([more, less, hot, cold]: Squares, z: Float64Array, by: number, sum: Exchange): void {
  const [a, b, c, d] = [sumAt(more, z), sumAt(less, z), sumAt(hot, z), sumAt(cold, z)];
  sum.delivered += by * (a - b);
  sum.dissipated += by * (c - d);
  sum.terms += by * (a + b + c + d);
}
