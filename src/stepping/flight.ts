// One combination of modes as leaps go through it: its straight system, pieces and bounds, and z, the state with its
// sources, at the start of the leap in hand.
import type { Combination } from "../equations/system.js";
import { Bounds } from "./bounds.js";
import type { Course } from "./courses.js";
import type { Inputs } from "./inputs.js";
import type { Look } from "./looks.js";
import type { Motion } from "./motion.js";
import type { Pieces } from "./pieces.js";

/** Roundings that a guard may have gathered, of what has flowed and stood in it. */
const roundings = 512 * Number.EPSILON;

/** What leaps need of one combination. */
export class Flight {
  readonly motion: Motion;
  readonly pieces: Pieces;
  readonly bounds: Bounds;
  readonly z: Float64Array;
  /** z' */
  readonly d: Float64Array;
  /** Instants that are looked at, by how deep a leap has been parted. */
  readonly looks: Look[] = [];
  /** How often one of the largest sizes below has grown. */
  grown = 0;
  /** Largest size that each entry of z has had. */
  private readonly most: Float64Array;

  constructor(
    readonly at: Combination,
    course: Course,
    private readonly inputs: Inputs,
  ) {
    this.motion = course.motion;
    this.pieces = course.pieces;
    this.bounds = new Bounds(this.motion, this.pieces);
    this.z = new Float64Array(this.motion.width);
    this.d = new Float64Array(this.motion.width);
    this.most = new Float64Array(this.motion.width);
  }

  /** Takes the state over; what has flowed before counts. */
  begin(x: Float64Array, swing: Float64Array): void {
    for (let i = 0; i < x.length; i++) {
      this.z[i] = x[i];
      if (swing[i] > this.most[i]) {
        this.most[i] = swing[i];
        this.grown++;
      }
    }
  }

  /** Places the sources at tick n, on the stretches last sought, and works out z'. */
  aim(n: number): void {
    const { motion, z, d } = this;
    motion.drive(this.inputs, n, z);
    motion.derive(z, d);
    this.grow();
  }

  /** Guard g at z. */
  level(g: number, z: Float64Array): number {
    const { start, column, value } = this.motion.guards;
    let sum = 0;
    for (let p = start[g], end = start[g + 1]; p < end; p++) sum += value[p] * z[column[p]];
    return sum;
  }

  /** Its slope a second, from z'. */
  slope(g: number, d: Float64Array): number {
    return this.level(g, d);
  }

  /** What rounding can make of guard g: judged by what has flowed and stood in it, not by what is written elsewhere. */
  noise(g: number): number {
    const { start, column, value } = this.motion.guards;
    let sum = 0;
    for (let p = start[g], end = start[g + 1]; p < end; p++) sum += Math.abs(value[p]) * this.most[column[p]];
    return roundings * sum;
  }

  /** Lets z, or what was seen inside a leap, count for what has been. */
  grow(z: Float64Array = this.z): void {
    const { most } = this;
    for (let j = 0; j < z.length; j++) {
      const size = Math.abs(z[j]);
      if (size > most[j]) {
        most[j] = size;
        this.grown++;
      }
    }
  }
}
