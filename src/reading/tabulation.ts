// Several probes of a recording that is played piece by piece, at common instants: each is as true as if it were alone.
import type { Assembly } from "../assembly/assemble.js";
import {
  allowedError,
  cubicAt,
  missesCubic,
  mostPartings,
  partingShare,
  roundingShare,
  traceAccuracy,
  type ValueRange,
  widen,
} from "./accuracy.js";
import { type ProbeView, viewOf } from "./leapview.js";
import type { Probe } from "./probe.js";
import type { Recording } from "./recording.js";

/** What all probes show at one tick. */
interface Seen {
  readonly values: Float64Array;
  readonly slopes: Float64Array;
}

/** Takes the values of all probes at a tick. */
export type Take = (tick: number, values: ArrayLike<number>) => void;

/** Plays probes side by side. */
export class Tabulation {
  private readonly sights: readonly ProbeView[];
  private readonly swings: readonly ValueRange[];
  /** What was seen, by how deep a stretch has been parted: its ends are the first two. */
  private readonly pool: Seen[] = [];
  private lastTick = -1;
  private readonly lastValues: Float64Array;

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    probes: readonly Probe[],
  ) {
    this.sights = probes.map((probe) => viewOf(assembly, recording, probe));
    this.swings = probes.map(() => ({ low: Number.POSITIVE_INFINITY, high: Number.NEGATIVE_INFINITY }));
    this.lastValues = new Float64Array(probes.length);
  }

  /** Plays what is recorded between two ticks; with `end` also what its last sample says alone. */
  play(from: number, to: number, end: boolean, take: Take): void {
    const { recording, sights } = this;
    for (const stretch of recording.stretches(from, to)) {
      const corners = new Set(sights.flatMap((sight) => [...sight.enter(stretch)]));
      let start = Math.max(from, stretch.from);
      const stop = Math.min(to, stretch.to);
      const within = [...corners].filter((n) => n > start && n < stop).sort((a, b) => a - b);
      for (const corner of [...within, stop]) {
        const left = this.look(start, 1, 0);
        this.put(start, left, take);
        const right = this.look(corner, 0, 1);
        if (recording.exact) this.refine(start, left, corner, right, 0, take);
        else this.put(corner, right, take);
        start = corner;
      }
    }
    const index = recording.count - 1;
    const tick = recording.tick(index);
    if (!end || tick < from || tick > to) return;
    for (const sight of sights) sight.enter({ index, end: index, from: tick, to: tick });
    this.put(tick, this.look(tick, 1, 0), take);
  }

  private refine(from: number, a: Seen, to: number, b: Seen, depth: number, take: Take): void {
    const length = to - from;
    const step = Math.floor(partingShare * length);
    if (step > 0 && depth < mostPartings) {
      const middle = this.look(from + step, 1, depth + 2);
      const h = length * this.assembly.clock.seconds;
      if (this.sights.some((sight, k) => this.misses(sight, k, a, middle, b, h, step / length))) {
        this.refine(from, a, from + step, middle, depth + 1, take);
        this.refine(from + step, middle, to, b, depth + 1, take);
        return;
      }
    }
    this.put(to, b, take);
  }

  /** Whether a probe's cubic from a to b does not meet what it shows at m, which was looked at last. */
  private misses(sight: ProbeView, k: number, a: Seen, m: Seen, b: Seen, h: number, s: number): boolean {
    const guess = cubicAt(a.values[k], h * a.slopes[k], b.values[k], h * b.slopes[k], s);
    const allowed = allowedError(this.swings[k], traceAccuracy);
    return missesCubic(guess, m.values[k], m.slopes[k], h, allowed, () => sight.grain());
  }

  private look(tick: number, side: 0 | 1, place: number): Seen {
    const { sights, swings, pool } = this;
    while (pool.length <= place)
      pool.push({ values: new Float64Array(sights.length), slopes: new Float64Array(sights.length) });
    const seen = pool[place];
    for (let k = 0; k < sights.length; k++) {
      const sight = sights[k];
      sight.look(tick, side);
      seen.values[k] = sight.value;
      seen.slopes[k] = sight.slope;
      widen(swings[k], sight.value);
    }
    return seen;
  }

  /** Hands on what is seen, unless it was handed on just now. */
  private put(tick: number, { values }: Seen, take: Take): void {
    const { lastTick, lastValues, swings } = this;
    const rounding = (k: number) =>
      roundingShare * Math.max(Math.abs(swings[k].low), Math.abs(swings[k].high));
    if (lastTick === tick && values.every((v, k) => Math.abs(v - lastValues[k]) <= rounding(k))) return;
    this.lastTick = tick;
    lastValues.set(values);
    take(tick, values);
  }
}
