// Kirchhoff's current law: the sums of the currents at every place, and what they are judged by. A sum is a share of the largest
// current at its place. Where only rounding flows, that is no scale: then the terms whose small difference the currents are set
// the scale. Voltages have a rounding too, which drives a current through every resistance, and ideal voltages pass that on; and the
// coefficients of a current may have lost some of their digits, never more than six unsaid: of a current below these nothing is
// known.
import type { Condensed, Rows } from "../equations/condense.js";
import type { Element } from "../equations/elements.js";
import type { Vector } from "../equations/vector.js";
import type { Moment } from "./playback.js";

/** The largest state, level and slope met in a combination. */
interface Extent {
  readonly x: Float64Array;
  readonly u: Float64Array;
  readonly du: Float64Array;
}

/** Below this share a sum is as good as zero. */
const alike = 1e-12;
/** Roundings of a voltage: eight. */
const doubt = 2 ** -50;

/** Sums of currents at every place. */
export class CurrentSums {
  private readonly sum: Float64Array;
  private readonly largest: Float64Array;
  private readonly farthest: Float64Array;
  private readonly extents = new Map<Condensed, Extent>();

  constructor(places: number) {
    this.sum = new Float64Array(places);
    this.largest = new Float64Array(places);
    this.farthest = new Float64Array(places);
  }

  /** @param amps current of every element */
  add({ equations, x, u, du }: Moment, amps: Float64Array): void {
    const { sum, largest, farthest } = this;
    const { elements } = equations;
    sum.fill(0);
    for (let i = 0; i < elements.length; i++) {
      const { a, b } = elements[i];
      const current = amps[i];
      const size = Math.abs(current);
      sum[a] += current;
      sum[b] -= current;
      if (size > largest[a]) largest[a] = size;
      if (size > largest[b]) largest[b] = size;
    }
    for (let p = 1; p < sum.length; p++) farthest[p] = Math.max(farthest[p], Math.abs(sum[p]));
    let extent = this.extents.get(equations);
    if (!extent) {
      extent = { x: x.map(Math.abs), u: u.map(Math.abs), du: du.map(Math.abs) };
      this.extents.set(equations, extent);
    }
    widen(extent.x, x);
    widen(extent.u, u);
    widen(extent.du, du);
  }

  /** The worst sum as a share of the largest current at its place, or of `least` times the terms of all currents there. */
  worst(least: number): number {
    const terms = this.terms();
    const most = this.largest.reduce((all, a) => Math.max(all, a), 0);
    // A place where only rounding flows has no scale of its own, and its error may be the rounding of what flows elsewhere,
    // passed on by sources that follow others: some hundred units in the last place of the largest current of all.
    const nothing = 1e-12 * most;
    const rounding = 2 ** -45 * most;
    const share = (f: number, p: number) => {
      const scale = Math.max(this.largest[p], least * terms[p]);
      return scale > nothing && f > rounding ? f / scale : 0;
    };
    const shares = this.farthest.map(share);
    if (shares.every((s) => s < alike)) return shares.reduce((worst, s) => Math.max(worst, s), 0);
    const known = this.leasts();
    return shares.reduce((worst, s, p) => (this.farthest[p] > known[p] ? Math.max(worst, s) : worst), 0);
  }

  /**
   * By place: the most that the rounding of voltages drives there, through its resistances or those that it is held to, and what
   * the coefficients of its currents are off by.
   */
  private leasts(): Float64Array {
    const all = new Float64Array(this.sum.length);
    for (const [equations, extent] of this.extents) {
      const { elements, places } = equations;
      const off = new Float64Array(all.length);
      for (const [i, { a, b }] of elements.entries()) {
        const amps = boundOf(equations.currentRest(i), extent);
        off[a] += amps;
        off[b] += amps;
      }
      const group = heldTogether(elements, all.length);
      const [volts, amperes] = [new Float64Array(all.length), new Float64Array(all.length)];
      for (let p = 1; p < all.length; p++)
        volts[group[p]] = Math.max(volts[group[p]], bound(places, p, extent));
      for (const { type, a, b, size } of elements) {
        if (size === 0 || !(type === "resistor" || type === "hold")) continue;
        const across = Math.max(volts[group[a]], volts[group[b]]);
        amperes[group[a]] += across / size;
        if (group[b] !== group[a]) amperes[group[b]] += across / size;
      }
      for (let p = 1; p < all.length; p++) all[p] = Math.max(all[p], doubt * amperes[group[p]] + off[p]);
    }
    return all;
  }

  /** By place: the most that the terms of the currents there come to. */
  private terms(): Float64Array {
    const most = new Float64Array(this.sum.length);
    for (const [{ elements, currents }, extent] of this.extents) {
      for (let i = 0; i < elements.length; i++) {
        const { a, b } = elements[i];
        const size = bound(currents, i, extent);
        most[a] = Math.max(most[a], size);
        most[b] = Math.max(most[b], size);
      }
    }
    return most;
  }
}

/** By place: the first of those that ideal voltages join it to, other than by way of ground. */
function heldTogether(elements: readonly Element[], places: number): Int32Array {
  const group = Int32Array.from({ length: places }, (_, p) => p);
  for (const { type, a, b } of elements) {
    if (type !== "hold" || a === 0 || b === 0 || group[a] === group[b]) continue;
    const [first, last] = [Math.min(group[a], group[b]), Math.max(group[a], group[b])];
    for (let p = 0; p < places; p++) if (group[p] === last) group[p] = first;
  }
  return group;
}

function widen(most: Float64Array, values: Float64Array): void {
  for (let k = 0; k < most.length; k++) {
    const size = Math.abs(values[k]);
    if (size > most[k]) most[k] = size;
  }
}

/** Σ |coefficient| · extent of those that are given, in the order of states, levels and slopes. */
function boundOf({ at, of }: Vector, { x, u, du }: Extent): number {
  let sum = 0;
  for (const [k, column] of at.entries()) {
    const slope = column - x.length - u.length;
    const size = column < x.length ? x[column] : slope < 0 ? u[column - x.length] : du[slope];
    sum += Math.abs(of[k]) * size;
  }
  return sum;
}

/** Σ |row i| · extent */
function bound({ sparse, U, D }: Rows, i: number, { x, u, du }: Extent): number {
  let sum = 0;
  for (let p = sparse.start[i]; p < sparse.start[i + 1]; p++)
    sum += Math.abs(sparse.value[p]) * x[sparse.column[p]];
  for (let s = 0, at = i * u.length; s < u.length; s++, at++)
    sum += Math.abs(U[at]) * u[s] + Math.abs(D[at]) * du[s];
  return sum;
}
