// Bounds on guards over a leap on which carriers ring, measured from its start. The states follow a carrier as
//
//     x = y + Re(k C + l S)        (iω − A) k = β,  (iω − A) l = γ − k
//
// with C = c₂ + i c₁ = (a + ib) e^(iφ) and S its slopes (motion.ts), β and γ their weights in x'; and y' = A y plus what
// stands or runs straight, as if there were no carrier. So a guard splits into a guard of y, bounded as any other
// (guardbounds.ts) by y' at the start, and a carrier of its own, bounded by its amplitude at all times: the leap need not
// be split, however long it is and however often the carrier turns.
// Always: where this says that a guard stays below its level it does, up to rounding; where it does not say so, nothing
// is claimed.
import { LuDecomposition, Matrix } from "ml-matrix";
import { powerOfTwo } from "./binary.js";
import type { Motion } from "./motion.js";
import type { Within } from "./rises.js";

/** Rounding as a share of everything that rings, for each turn of the carrier. */
const rounding = powerOfTwo(-44);

/** How states follow one carrier: real and imaginary parts of k and l by state. */
interface Following {
  /** Where the carrier begins in z. */
  readonly at: number;
  readonly speed: number;
  readonly k: readonly [Float64Array, Float64Array];
  readonly l: readonly [Float64Array, Float64Array];
}

/** A guard's weights of a carrier: of C and of S, real and imaginary parts. */
interface Share {
  readonly at: number;
  readonly speed: number;
  readonly c: readonly [number, number];
  readonly s: readonly [number, number];
  /** Magnitudes of both. */
  readonly most: readonly [number, number];
}

/** The guards of one motion. */
export class CarrierBounds {
  private readonly followings: readonly Following[];
  /** By guard. */
  private readonly shares: readonly (readonly Share[])[];
  /** y' where the leap, or the part of it in question, starts. */
  private readonly rest: Float64Array;
  private within!: Within;
  private seconds = 0;

  private constructor(
    private readonly motion: Motion,
    followings: readonly Following[],
  ) {
    this.followings = followings;
    const { start } = motion.guards;
    this.shares = Array.from({ length: start.length - 1 }, (_, g) =>
      followings.map((following) => shareOf(motion, g, following)),
    );
    this.rest = new Float64Array(motion.width);
  }

  /** Undefined where no carrier rings, or where one is in tune with an undamped resonance. */
  static of(motion: Motion): CarrierBounds | undefined {
    const carriers = motion.voices.filter(({ carrier }) => carrier >= 0);
    if (carriers.length === 0 || motion.guards.value.length === 0) return undefined;
    const followings: Following[] = [];
    for (const { carrier, speed } of carriers) {
      const following = followed(motion, carrier, speed);
      if (!following) return undefined;
      followings.push(following);
    }
    return new CarrierBounds(motion, followings);
  }

  /** Takes z' at the start of a leap or a part of it, its rises, and its length. */
  begin(d: Float64Array, within: Within, seconds: number): void {
    const { rest, followings, motion } = this;
    this.within = within;
    this.seconds = seconds;
    const own = motion.group.states.length;
    rest.set(d);
    for (let f = 0; f < followings.length; f++) {
      const { at, k, l } = followings[f];
      for (let j = 0; j < own; j++)
        rest[j] -= k[0][j] * d[at + 1] - k[1][j] * d[at] + (l[0][j] * d[at + 3] - l[1][j] * d[at + 2]);
    }
    for (let j = own; j < motion.moving; j++) rest[j] = 0;
  }

  /**
   * Whether a guard stays below a sill for that length.
   * @param z the state at the start
   * @param level the guard's value there
   */
  stays(g: number, z: Float64Array, level: number, sill: number): boolean {
    const { rest, seconds } = this;
    const { start, column, ends, share } = this.within;
    const shares = this.shares[g];
    let [calm, amplitude, turns] = [level, 0, 1];
    for (let f = 0; f < shares.length; f++) {
      const { at, speed, c, s, most } = shares[f];
      const [c1, c2, s1, s2] = [z[at], z[at + 1], z[at + 2], z[at + 3]];
      calm -= c[0] * c2 - c[1] * c1 + (s[0] * s2 - s[1] * s1);
      const [e1, e2] = [c1 + seconds * s1, c2 + seconds * s2];
      // The components of the amplitude run straight, so it is largest at one of the ends.
      const size = Math.max(c1 * c1 + c2 * c2, e1 * e1 + e2 * e2);
      amplitude += most[0] * Math.sqrt(size) + most[1] * Math.sqrt(s1 * s1 + s2 * s2);
      turns += speed * seconds;
    }
    let rise = 0;
    for (let p = start[g], end = start[g + 1]; p < end; p++) {
      const v = rest[column[p]];
      rise += v > 0 ? v * ends[2 * p + 1] : v * ends[2 * p];
    }
    const doubt = rounding * turns * (Math.abs(level) + Math.abs(calm) + amplitude);
    return calm + rise * share + amplitude + doubt <= sill;
  }
}

/** How the states of a motion follow a carrier. */
function followed(motion: Motion, at: number, speed: number): Following | undefined {
  const n = motion.group.states.length;
  const { start, column, value } = motion.A;
  const matrix = Matrix.zeros(2 * n, 2 * n);
  const moved = [0, 1, 2, 3].map(() => new Float64Array(n));
  for (let i = 0; i < n; i++) {
    matrix.set(i, n + i, -speed);
    matrix.set(n + i, i, speed);
    for (let p = start[i]; p < start[i + 1]; p++) {
      const j = column[p];
      if (j < n) {
        matrix.set(i, j, -value[p]);
        matrix.set(n + i, n + j, -value[p]);
      } else if (j >= at && j < at + 4) moved[j - at][i] = value[p];
    }
  }
  const none: readonly [Float64Array, Float64Array] = [new Float64Array(n), new Float64Array(n)];
  if (n === 0) return { at, speed, k: none, l: none };
  const lu = new LuDecomposition(matrix);
  if (lu.isSingular()) return undefined;
  const solved = (re: Float64Array, im: Float64Array): readonly [Float64Array, Float64Array] => {
    const both = lu.solve(Matrix.columnVector([...re, ...im])).getColumn(0);
    return [Float64Array.from(both.slice(0, n)), Float64Array.from(both.slice(n))];
  };
  const k = solved(
    moved[1],
    moved[0].map((v) => -v),
  );
  const l = solved(
    moved[3].map((v, i) => v - k[0][i]),
    moved[2].map((v, i) => -v - k[1][i]),
  );
  return { at, speed, k, l };
}

function shareOf(motion: Motion, g: number, { at, speed, k, l }: Following): Share {
  const { start, column, value } = motion.guards;
  const n = motion.group.states.length;
  const [c, s]: [number, number][] = [
    [0, 0],
    [0, 0],
  ];
  for (let p = start[g]; p < start[g + 1]; p++) {
    const [j, v] = [column[p], value[p]];
    if (j < n) {
      c[0] += v * k[0][j];
      c[1] += v * k[1][j];
      s[0] += v * l[0][j];
      s[1] += v * l[1][j];
    } else if (j === at) c[1] -= v;
    else if (j === at + 1) c[0] += v;
    else if (j === at + 2) s[1] -= v;
    else if (j === at + 3) s[0] += v;
  }
  const size = ([re, im]: readonly [number, number]) => Math.sqrt(re * re + im * im);
  return { at, speed, c, s, most: [size(c), size(s)] };
}
