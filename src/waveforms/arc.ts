// One stretch of a trace between two neighbouring samples, as a cubic or a straight line. It passes through both samples, and is
// straight wherever the guard below distrusts the slopes of samples that may be too few. A single arc is loaded again and again,
// so that walking a million samples allocates nothing.
//
// Notation (s runs 0..1 over the stretch, h its length in seconds, D its rise):
//   A = h*slope after the first sample - D,   B = h*slope before the second sample - D
//   p(s) = v0 + D s + A s(1-s)^2 - B s^2(1-s)              the cubic Hermite interpolant, chord taken out
//   p'(s) = 3(A+B) s^2 - (4A+2B) s + D + A                 derivative by s
//   integral over 0..1 = v0 + D/2 + (A-B)/12               the trapezoidal rule with end correction

/** Samples and their slopes. All arrays have one length, at least 1. */
export interface Samples {
  /** Instants, s, never decreasing; at a jump two samples share one time, the value before and the value after. */
  readonly time: Float64Array;
  /** Values at these instants. */
  readonly value: Float64Array;
  /** Derivative just after each sample, per second. Without it the curve is straight between samples. */
  readonly slope?: Float64Array;
  /** Derivative just before each sample, per second; `slope` where it is not given. */
  readonly slopeBefore?: Float64Array;
  /** The drawer has checked the cubics against the curve itself: no slope is the remnant of something faster. */
  readonly exact?: boolean;
}

/**
 * A curve with one bend lies in the triangle of its chord and its two end tangents, of height AC/(A+C) with
 * C = -B. The cubic stays inside while neither of A and C exceeds 5.1 times the other (s(1-s)(r(1-s)+s) has the
 * maximum r/(1+r) at r = 5.1); we take 5.
 */
const lopsided = 5;

/**
 * A curve that bends one way lies inside the extensions of the neighbouring chords, so a true end slope lies between the chords
 * on its two sides. Twice that is allowed, for a neighbour that turns within its step.
 */
const slack = 2;

// Working space of the guard.
const scratch = [Number.NaN, Number.NaN];

/** Whether the stretch from sample `i` is monotone, as far as a quick test tells; false where it may not be. */
export function steady(data: Samples, i: number): boolean {
  const { time, value, slope } = data;
  const D = value[i + 1] - value[i];
  // NaN needs the closer look.
  if (!slope) return !Number.isNaN(D);
  const h = time[i + 1] - time[i];
  const a = (h * slope[i]) / D;
  const b = (h * (data.slopeBefore ?? slope)[i + 1]) / D;
  return a >= 0 && a <= 3 && b >= 0 && b <= 3;
}

/** One stretch of a trace. */
export class Arc {
  /** Time of the first sample, s. */
  start = 0;
  /** Length in time, s; more than zero. */
  length = 1;
  /** Value at the first sample. */
  first = 0;
  /** Value at the second sample. */
  last = 0;
  /** `last` less `first`. */
  rise = 0;
  /** A and B of the notation; both zero on a straight line. */
  bendFirst = 0;
  bendLast = 0;

  /** Takes the stretch from sample `i` to sample `i + 1`, whose times must differ. */
  load(data: Samples, i: number): this {
    const { time, value, slope } = data;
    this.start = time[i];
    this.length = time[i + 1] - time[i];
    this.first = value[i];
    this.last = value[i + 1];
    this.rise = this.last - this.first;
    this.bendFirst = 0;
    this.bendLast = 0;
    if (!slope) return this;
    const before = data.slopeBefore ?? slope;
    const a = this.length * slope[i];
    const b = this.length * before[i + 1];
    if (!Number.isFinite(a) || !Number.isFinite(b)) return this;
    this.bendFirst = a - this.rise;
    this.bendLast = b - this.rise;
    if (!data.exact && !this.trusted(data, i, a, b)) {
      this.bendFirst = 0;
      this.bendLast = 0;
    }
    return this;
  }

  /** Takes a curve between two values with their slopes, per second, over the arc's present time; the slopes are trusted. */
  through(first: number, after: number, last: number, before: number): this {
    this.first = first;
    this.last = last;
    this.rise = last - first;
    this.bendFirst = this.length * after - this.rise;
    this.bendLast = this.length * before - this.rise;
    return this;
  }

  /** True where the cubic is a straight line. */
  get straight(): boolean {
    return this.bendFirst === 0 && this.bendLast === 0;
  }

  /** Value at the share `s` of the stretch. */
  value(s: number): number {
    const r = 1 - s;
    // Written from the nearer end, so that both samples come out to the last bit: the crossings rely on it.
    const chord = s <= 0.5 ? this.first + this.rise * s : this.last - this.rise * r;
    return chord + s * r * (this.bendFirst * r - this.bendLast * s);
  }

  /** Derivative at the share `s`, per second. */
  slope(s: number): number {
    const A = this.bendFirst;
    const B = this.bendLast;
    return (this.rise + A + s * (3 * (A + B) * s - (4 * A + 2 * B))) / this.length;
  }

  /** Integral over time from share `s0` to `s1`, in the trace's unit times seconds. */
  area(s0 = 0, s1 = 1): number {
    const A = this.bendFirst;
    const B = this.bendLast;
    if (s0 === 0 && s1 === 1) return this.length * (this.first + this.rise / 2 + (A - B) / 12);
    // Simpson's rule is exact for a cubic.
    const middle = this.value((s0 + s1) / 2);
    return (this.length * (s1 - s0) * (this.value(s0) + 4 * middle + this.value(s1))) / 6;
  }

  /** Writes the shares strictly between 0 and 1 at which the cubic turns, in order; returns how many (0 to 2). */
  turns(out: number[]): number {
    const A = this.bendFirst;
    const B = this.bendLast;
    if (A === 0 && B === 0) return 0;
    return quadratic(3 * (A + B), -(4 * A + 2 * B), this.rise + A, out);
  }

  /** The last share at which the curve rises by less than a slope, per second; 0 where it never does after the start. */
  lastBelow(slope: number): number {
    if (this.slope(1) < slope) return 1;
    const { bendFirst: A, bendLast: B } = this;
    const n = quadratic(3 * (A + B), -(4 * A + 2 * B), this.rise + A - slope * this.length, scratch);
    return n > 0 ? scratch[n - 1] : 0;
  }

  // The guard. A cubic that stays between its two samples can do no harm. One that leaves them (a peak between
  // samples) must look like a single bend, by its own tangents and by the chords on both sides; else the slopes
  // are the remnant of something faster than the step (a small residue over a small time constant is a huge
  // slope), and the straight line is the honest answer.
  private trusted(data: Samples, i: number, a: number, b: number): boolean {
    const D = this.rise;
    // Slopes between 0 and 3 chord slopes make the cubic monotone (Fritsch & Carlson, SIAM J. Numer. Anal. 17,
    // 1980): the quick way out for nearly every stretch.
    if (D !== 0 && a / D >= 0 && a / D <= 3 && b / D >= 0 && b / D <= 3) return true;
    if (!this.leavesHull()) return true;
    const A = this.bendFirst;
    const B = this.bendLast;
    if (!(A * B < 0) || Math.abs(A) > lopsided * Math.abs(B) || Math.abs(B) > lopsided * Math.abs(A))
      return false;
    const left = chord(data, i - 1, i);
    if (left !== undefined && !borne(A, left * this.length - D)) return false;
    const right = chord(data, i + 1, i + 1);
    return right === undefined || borne(B, right * this.length - D);
  }

  private leavesHull(): boolean {
    const low = Math.min(this.first, this.last);
    const high = Math.max(this.first, this.last);
    const n = this.turns(scratch);
    for (let k = 0; k < n; k++) {
      const v = this.value(scratch[k]);
      if (v < low || v > high) return true;
    }
    return false;
  }
}

// Slope of the chord from sample i to i + 1, where the trace is smooth at sample `joint`; undefined where there is no such
// stretch, or a jump or a kink separates it from the arc.
function chord(data: Samples, i: number, joint: number): number | undefined {
  const { time, value, slope, slopeBefore } = data;
  if (i < 0 || i + 1 >= time.length || time[i + 1] === time[i]) return undefined;
  if (slope && slopeBefore) {
    const after = slope[joint];
    const before = slopeBefore[joint];
    if (!(Math.abs(after - before) <= 1e-6 * Math.max(Math.abs(after), Math.abs(before)))) return undefined;
  }
  return (value[i + 1] - value[i]) / (time[i + 1] - time[i]);
}

function borne(bend: number, byChord: number): boolean {
  return bend * byChord > 0 && Math.abs(bend) <= slack * Math.abs(byChord);
}

// Real roots of a s^2 + b s + c strictly inside 0..1, ascending. The root of larger size is computed first, the other from the
// product of both, so that neither is lost to cancellation.
function quadratic(a: number, b: number, c: number, out: number[]): number {
  let n = 0;
  const d = b * b - 4 * a * c;
  if (d < 0) return 0;
  const q = -(b + (b < 0 ? -Math.sqrt(d) : Math.sqrt(d))) / 2;
  const one = q === 0 ? Number.NaN : c / q;
  const two = a === 0 ? Number.NaN : q / a;
  const [early, late] = two < one ? [two, one] : [one, two];
  if (early > 0 && early < 1) out[n++] = early;
  if (late > 0 && late < 1 && late !== early) out[n++] = late;
  return n;
}
