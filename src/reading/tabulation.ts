// Several probes of a recording that is played piece by piece, at common instants: each as accurate as if it were alone.
import type { Assembly } from "../assembly/assemble.js";
import { CubicJudge, mostPartings, partingShare, type Seen, traceAccuracy } from "./accuracy.js";
import { viewOf } from "./leapview.js";
import type { Probe } from "./probe.js";
import type { Recording } from "./recording.js";
import type { ProbeView, StretchView } from "./view.js";

/** A row of the table: what all probes read at one tick. */
export interface ProbeRow {
  tick: number;
  readonly seen: readonly Seen[];
}

/** Plays probes side by side. */
export class Tabulation {
  private readonly views: readonly ProbeView[];
  private readonly judges: readonly CubicJudge[];
  private inside: readonly StretchView[] = [];
  /** Rows in hand, by how often their stretch has been parted; the first two are its ends. */
  private readonly rows: ProbeRow[] = [];
  private lastTick = -1;
  private readonly lastValues: Float64Array;

  constructor(
    assembly: Assembly,
    private readonly recording: Recording,
    probes: readonly Probe[],
    /** Receives a row, which is reused. */
    private readonly take: (row: ProbeRow) => void,
  ) {
    this.views = probes.map((probe) => viewOf(assembly, recording, probe));
    this.judges = probes.map(() => new CubicJudge(traceAccuracy, assembly.clock.seconds));
    this.lastValues = new Float64Array(probes.length);
  }

  /** Plays the recording between two ticks; with `end` also what its last sample alone gives. */
  play(from: number, to: number, end: boolean): void {
    const { recording, views } = this;
    for (const stretch of recording.stretches(from, to)) {
      this.inside = views.map((view) => view.enter(stretch));
      let start = Math.max(from, stretch.from);
      const stop = Math.min(to, stretch.to);
      const corners = new Set(this.inside.flatMap((inside) => inside.pieces.corners(start, stop)));
      for (const corner of [...[...corners].sort((a, b) => a - b), stop]) {
        const left = this.look(start, 1, 0);
        this.put(left);
        const right = this.look(corner, 0, 1);
        if (recording.exact) this.refine(left, right, 0);
        else this.put(right);
        start = corner;
      }
    }
    const index = recording.count - 1;
    const tick = recording.tick(index);
    if (!end || tick < from || tick > to) return;
    this.inside = views.map((view) => view.enter({ index, end: index, from: tick, to: tick }));
    this.put(this.look(tick, 1, 0));
  }

  private refine(a: ProbeRow, b: ProbeRow, depth: number): void {
    const step = Math.floor(partingShare * (b.tick - a.tick));
    if (step > 0 && depth < mostPartings) {
      const m = this.look(a.tick + step, 1, depth + 2);
      if (
        this.judges.some((judge, k) => judge.misses(a.seen[k], m.seen[k], b.seen[k], this.inside[k], depth))
      ) {
        this.refine(a, m, depth + 1);
        this.refine(m, b, depth + 1);
        return;
      }
    }
    this.put(b);
  }

  private look(tick: number, side: 0 | 1, place: number): ProbeRow {
    const { inside, judges, rows } = this;
    while (rows.length <= place) rows.push({ tick, seen: judges.map(() => ({ tick, value: 0, slope: 0 })) });
    const row = rows[place];
    const { seen } = row;
    row.tick = tick;
    for (let k = 0; k < inside.length; k++) {
      inside[k].look(tick, side, seen[k]);
      judges[k].widen(seen[k].value);
    }
    return row;
  }

  /** Passes on a row, unless it repeats the last one. */
  private put(row: ProbeRow): void {
    const { lastTick, lastValues, judges } = this;
    const { tick, seen } = row;
    if (
      lastTick === tick &&
      seen.every(({ value }, k) => Math.abs(value - lastValues[k]) <= judges[k].rounding)
    )
      return;
    this.lastTick = tick;
    for (let k = 0; k < seen.length; k++) lastValues[k] = seen[k].value;
    this.take(row);
  }
}
