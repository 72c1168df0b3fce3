// The places where a capture may lie on a run, whole cells of time apart, and how alike samples and curve are at each.
import type { Trace } from "../waveforms/trace.js";
import { along } from "./along.js";
import { correlation, Stretches } from "./correlation.js";

/** Share of the shorter one that must overlap the other. */
const leastOverlap = 0.5;

/** A delay in whole cells, the correlation there, and the overlap in cells. */
export interface Lag {
  readonly lag: number;
  readonly likeness: number;
  readonly over: number;
}

/** All places of samples on a curve, both by cells. */
export class Lags {
  /** By delay. */
  private readonly found: readonly Lag[];
  /** Those that match no worse than either neighbour. */
  readonly peaks: readonly Lag[];
  private readonly moving: Stretches;
  private readonly still: Stretches;

  constructor(
    private readonly own: Float64Array,
    private readonly curve: Float64Array,
  ) {
    [this.moving, this.still] = [new Stretches(curve), new Stretches(own)];
    const least = Math.max(2, Math.ceil(leastOverlap * Math.min(own.length, curve.length)));
    const found: Lag[] = [];
    for (let lag = least - own.length; lag <= curve.length - least; lag++) {
      const begin = Math.max(0, -lag);
      const over = Math.min(own.length, curve.length - lag) - begin;
      found.push({ lag, likeness: this.likeness(begin, over, lag), over });
    }
    this.found = found;
    this.peaks = found.filter((one) => !this.beside(one).some(({ likeness }) => likeness > one.likeness));
  }

  /** How alike cells of the samples and of the curve are. */
  private likeness(begin: number, over: number, lag: number): number {
    return correlation(this.moving, begin + lag, this.still, begin, over);
  }

  /** How alike they are if what overlaps at one place is laid at another delay; 0 where it lies beyond the curve. */
  moved(place: Lag, lag: number): number {
    const begin = Math.max(0, -place.lag);
    const inside = begin + lag >= 0 && begin + place.over + lag <= this.curve.length;
    return inside ? this.likeness(begin, place.over, lag) : 0;
  }

  /** The lowest correlation anywhere. */
  get lowest(): number {
    return this.found.reduce((least, { likeness }) => Math.min(least, likeness || 0), 0);
  }

  /** The neighbours of a place. */
  beside({ lag }: Lag): readonly Lag[] {
    const at = lag - this.found[0].lag;
    return [at - 1, at + 1].flatMap((k) => this.found[k] ?? []);
  }

  /** The unbroken stretch of places around one that match as well. */
  sideBySide(top: Lag, near: number): readonly Lag[] {
    const at = top.lag - this.found[0].lag;
    const good = (k: number) => 1 - this.found[k]?.likeness <= near;
    let [from, to] = [at, at];
    while (good(from - 1)) from--;
    while (good(to + 1)) to++;
    return this.found.slice(from, to + 1);
  }

  /** Mean square of the difference between samples and curve. */
  offLevel({ lag, over }: Lag): number {
    const begin = Math.max(0, -lag);
    let sum = 0;
    for (let k = begin; k < begin + over; k++) sum += (this.own[k] - this.curve[k + lag]) ** 2;
    return sum / over;
  }
}

/** The place that matches best. */
export function highest(places: readonly Lag[]): Lag {
  return places.reduce((a, b) => (b.likeness > a.likeness ? b : a));
}

/** What a place may miss of a full correlation to be as good as the best one. */
export function allowed(best: number): number {
  return 1 - best + 1e-4 + Math.min(0.06, 0.5 * (1 - best));
}

/** Means over cells of time. */
export function cells(trace: Trace, cell: number): Float64Array {
  const count = Math.max(1, Math.floor((trace.to - trace.from) / cell));
  const parts = 4;
  const instants = Float64Array.from(
    { length: count * parts },
    (_, k) => trace.from + ((k + 0.5) / parts) * cell,
  );
  const fine = along(trace, instants, 0);
  return Float64Array.from({ length: count }, (_, k) => {
    let sum = 0;
    for (let part = 0; part < parts; part++) sum += fine[k * parts + part];
    return sum / parts;
  });
}
