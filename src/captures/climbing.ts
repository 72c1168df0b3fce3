// Up the likelihood of captures in all that is unknown of them at once, by what each sample tells (E. K. Berndt, B. H. Hall,
// R. E. Hall & J. A. Hausman, Ann. Econ. Soc. Meas. 3 (1974) 653), damped as a fit by least squares is.
import { Matrix, solve } from "ml-matrix";
import { TellingSamples, type Unknowns } from "./edgesamples.js";
import type { FitSubject, PlacedCapture } from "./fitting.js";
import type { NearRuns } from "./nearruns.js";

/** Slopes are taken over this share of what is known of each unknown. */
const stride = 0.1;
/** A step that promises less than this in twice the log likelihood is not tried. */
export const leastGain = 0.01;
/** Most steps. */
const mostSteps = 40;
/** Curves are straight in a value over this share of it, and this many times how closely it is known. */
export const nearby = 0.1;
const mostSizes = 4;
/** Errors in time of a capture that shows none, as a share of its samples' distance. */
const none = 5e-3;

/** Deviations of a capture's samples: on a level, and of their instants, s, if they show any. */
export interface Deviations {
  readonly level: number;
  readonly deviation?: number;
}

/** A place, and how likely the samples are there. */
export interface Reached {
  /** In units of what is known of each unknown, from where the search began. */
  readonly at: readonly number[];
  /** Twice the natural logarithm. */
  readonly likelihood: number;
}

/** Where a search begins: all unknowns, and how closely those that are no deviations are known there. */
export interface Start {
  readonly x: readonly number[];
  readonly sizes: readonly number[];
}

/** The likeliest place, and what all samples tell of the free unknowns there, and of that those on edges. */
export interface Top extends Reached {
  readonly told: Matrix;
  readonly edge: Matrix;
}

/** What a search is about. */
export interface Whole {
  readonly subject: FitSubject;
  readonly placed: readonly PlacedCapture[];
  readonly scales: readonly Deviations[];
  readonly near: NearRuns;
}

/** Captures as a function of all unknowns, in units in which each is known to about one. */
export class Climbing {
  private readonly samples: readonly TellingSamples[];
  readonly sizes: readonly number[];
  readonly centre: readonly number[];
  private readonly count: number;

  constructor(
    private readonly whole: Whole,
    { x, sizes }: Start,
  ) {
    const { subject, placed, near } = whole;
    this.count = sizes.length;
    this.centre = x;
    this.samples = placed.map((one, k) => {
      const corners = subject.runs.at(near.values)![k].time;
      return new TellingSamples(one, near.of(k), this.of(k, x), corners);
    });
    const each = ({ edges, others }: TellingSamples) => [
      1 / Math.sqrt(2 * (others.count + edges.time.length)),
      1 / Math.sqrt(2 * Math.max(edges.time.length, 1)),
    ];
    this.sizes = [...sizes, ...this.samples.flatMap(each)];
  }

  /** The unknowns of a capture. */
  private of(k: number, x: readonly number[]): Unknowns {
    const { held, at, delay, time } = this.whole.placed[k];
    const { level, deviation } = this.whole.scales[k];
    const apart = (time[time.length - 1] - time[0]) / (time.length - 1);
    const [more, later] = x.slice(this.count + 2 * k);
    return {
      values: this.whole.near.by.map((by, i) => (x[i] - this.whole.near.values[i]) / by),
      delay: delay + x[at],
      gain: held.uncalibrated ? x[at + 1] : 1,
      offset: held.uncalibrated ? x[at + 2] : 0,
      level: level * Math.exp(more),
      deviation: (deviation ?? none * apart) * Math.exp(later),
    };
  }

  /** All unknowns at a place. */
  unknowns(at: readonly number[]): number[] {
    return this.centre.map((v, i) => v + this.sizes[i] * at[i]);
  }

  /** The deviation of a capture's instants at a place, s. */
  jitter(at: readonly number[], k: number): number {
    return this.whole.scales[k].deviation === undefined ? 0 : this.of(k, this.unknowns(at)).deviation;
  }

  /** How many samples on edges mostly scatter by their errors in time. */
  telling(at: readonly number[]): number {
    const x = this.unknowns(at);
    return this.samples.reduce((sum, one, k) => sum + one.telling(this.of(k, x)), 0);
  }

  private logs(at: readonly number[]): Float64Array[] {
    const x = this.unknowns(at);
    return this.samples.map((one, k) => one.logs(this.of(k, x)));
  }

  likelihood(at: readonly number[]): number {
    return 2 * this.logs(at).reduce((all, of) => of.reduce((sum, v) => sum + v, all), 0);
  }

  /** Unknowns that move anything. */
  get free(): number[] {
    return this.centre.flatMap((_, i) => {
      const k = i - this.count;
      return k >= 0 && k % 2 === 1 && this.whole.scales[(k - 1) / 2].deviation === undefined ? [] : [i];
    });
  }

  /** Slopes of the log likelihood, and what all samples tell of the unknowns (the outer products of each one's own slopes). */
  slopes(at: readonly number[], free: readonly number[]) {
    const slopes = free.map((i) => {
      const side = (by: number) => this.logs(at.map((v, n) => (n === i ? v + by : v)));
      const [under, over] = [side(-stride), side(stride)];
      return over.map((of, k) => of.map((v, n) => (v - under[k][n]) / (2 * stride)));
    });
    // What moves nothing is known to a thousand times its unit.
    const [told, edge] = [1e-6, 0].map((least) => Matrix.eye(free.length, free.length, least));
    const push = slopes.map((of) => of.reduce((all, one) => one.reduce((sum, v) => sum + v, all), 0));
    this.samples.forEach(({ edges, others }, k) => {
      const { level } = this.of(k, this.unknowns(at));
      const rows = others.triangle
        .slice(0, -1)
        .map((row) => free.map((i) => (this.rowAt(k, row, i) / level) * this.sizes[i]));
      free.forEach((a, i) => {
        for (let j = 0; j <= i; j++) {
          let sum = rows.reduce((all, row) => all + row[i] * row[j], 0);
          if (i === j && a === this.count + 2 * k) sum += 2 * others.count * this.sizes[a] ** 2;
          let own = 0;
          for (let n = 0; n < edges.time.length; n++) own += slopes[i][k][n] * slopes[j][k][n];
          for (const [of, by] of [
            [told, sum + own],
            [edge, own],
          ] as const) {
            of.set(i, j, of.get(i, j) + by);
            of.set(j, i, of.get(i, j));
          }
        }
      });
    });
    return { push, told, edge };
  }

  /** A column of a capture's triangle by the index of the unknown. */
  private rowAt(k: number, row: readonly number[], i: number): number {
    const { at, held } = this.whole.placed[k];
    const values = this.whole.subject.values.length;
    if (i < values) return row[i] / this.whole.near.by[i];
    const own = i - at;
    return own >= 0 && own < (held.uncalibrated ? 3 : 1) ? row[values + own] : 0;
  }

  /** Goes up from a place; unknowns that are not free stay. */
  top(start: readonly number[], free: readonly number[]): Top {
    let best: Reached = { at: start, likelihood: this.likelihood(start) };
    let damping = 1e-3;
    for (let step = 0; ; step++) {
      const { push, told, edge } = this.slopes(best.at, free);
      const stepped = (by: number) => {
        const damped = told.clone();
        for (let i = 0; i < free.length; i++) damped.set(i, i, told.get(i, i) * (1 + by));
        return solve(damped, Matrix.columnVector(push)).to1DArray();
      };
      let next: Reached | undefined;
      for (let tries = 0; tries < 8 && !next; tries++) {
        const by = stepped(damping);
        const hope = by.reduce((sum, v, i) => sum + v * push[i], 0);
        if (!(hope > leastGain) || step >= mostSteps) return { ...best, told, edge };
        const at = [...best.at];
        free.forEach((i, n) => {
          at[i] += by[n];
        });
        const likelihood = this.likelihood(this.within(at));
        if (likelihood > best.likelihood) next = { at: this.within(at), likelihood };
        else damping = 4 * damping + 1e-2;
      }
      if (!next) return { ...best, told, edge };
      damping /= 5;
      best = next;
    }
  }

  /** No value leaves its range, nor the neighbourhood where curves are straight in it. */
  within(at: readonly number[]): number[] {
    return at.map((v, i) => {
      const range = this.whole.subject.values[i];
      if (!range) return v;
      const centre = this.centre[i];
      const far = Math.max(nearby * Math.abs(centre), mostSizes * this.sizes[i]);
      const [low, high] = [Math.max(range.low, centre - far), Math.min(range.high, centre + far)];
      return Math.min(Math.max(v, (low - centre) / this.sizes[i]), (high - centre) / this.sizes[i]);
    });
  }
}
