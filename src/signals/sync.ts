// Synchronising pulses of the television systems, from the published tables, as exact waves in logic polarity: high during sync
// (swapped levels give the negative-going polarity of a video line). Time zero is 0H of line 1: in 525 lines the first equalising
// pulse (the broad pulses begin with line 4), in 625 lines the first broad pulse of the first field. All instants are half-height
// points. One frame is two fields, the second half a line off, so like pulses lie exactly 262.5 or 312.5 lines apart.
import { type Fraction, ratio } from "../base/fraction.js";
import { type Pulse, train, type Wave } from "./wave.js";

/** Lines per frame / nominal fields per second. 525/60 is the monochrome rate, 525/59.94 the colour one. */
export type VideoSystem = "525/59.94" | "525/60" | "625/50";

/** Lines of a field without interlace, as simple sources send them (common practice, no source). */
export function wholeLines(system: VideoSystem): number {
  return Math.floor(tables[system].linesAFrame / 2);
}

/** Every system that has a table. */
export const systems: readonly VideoSystem[] = ["525/59.94", "525/60", "625/50"];

/** Which pulses: as separated for the line sweep, for the field sweep, or the whole train as sent. */
export type SyncKind = "line" | "field" | "composite";

/** One sync pulse: half-height point of its leading edge after 0H of line 1, and width, in seconds. */
export type SyncPulse = Pulse;

/** The figures of a system, seconds and hertz. */
export interface Rates {
  /** Line period H. */
  readonly line: Fraction;
  /** Field period. */
  readonly field: Fraction;
  readonly linesAFrame: number;
  /** Colour subcarrier; monochrome has none. */
  readonly subcarrier?: Fraction;
  /** Width of a line sync pulse. */
  readonly sync: Fraction;
  /** Width of an equalising pulse. */
  readonly equalising: Fraction;
  /** Width of a broad pulse of the field sync. */
  readonly broad: Fraction;
  /** Nominal 10-90 % time of a sync edge. */
  readonly edge: Fraction;
}

interface Table extends Rates {
  /** Half-line pulses in each of the three groups around the field sync: before, broad, after. */
  readonly group: number;
  /** Whether line 1 begins with the group before the broad pulses, or with the broad pulses. */
  readonly opens: "before" | "broad";
}

const micro = (n: number, d = 1): Fraction => ratio(n, d * 1_000_000);

// 525 lines: SMPTE 170M-2004, table 2 (line sync 4.70, edge 0.140 µs), table 3 and figure 7 (equalising 2.30, gap
// between broad pulses 4.70 µs, groups of six). The broad pulse is the half line less the gap.
function lines525(line: Fraction, subcarrier?: Fraction): Table {
  return {
    line,
    field: line.mul(ratio(525, 2)),
    linesAFrame: 525,
    subcarrier,
    sync: micro(47, 10),
    equalising: micro(23, 10),
    broad: line.div(2).sub(micro(47, 10)),
    edge: micro(14, 100),
    group: 6,
    opens: "before",
  };
}

const tables: Readonly<Record<VideoSystem, Table>> = {
  // Line frequency 2 250 000/143 Hz (SMPTE 170M-2004, 11.2); subcarrier 315/88 MHz (11.1, and 47 CFR 73.682).
  "525/59.94": lines525(micro(572, 9), ratio(315_000_000, 88)),
  // Line frequency 15 750 Hz (47 CFR 73.682). Pulse widths in monochrome practice varied; those of the colour
  // standard lie within its limits and are used here as well (common practice, no source).
  "525/60": lines525(micro(4000, 63)),
  // Line frequency 15 625 Hz (ITU-R BT.470-6); subcarrier 4 433 618.75 Hz, line sync 4.7, edge 0.2 µs (ITU-R
  // BT.1700, table 2), equalising 2.35, broad 27.3 µs, groups of five (table 3, figures 3 to 5).
  "625/50": {
    line: micro(64),
    field: ratio(1, 50),
    linesAFrame: 625,
    subcarrier: ratio(443_361_875, 100),
    sync: micro(47, 10),
    equalising: micro(235, 100),
    broad: micro(273, 10),
    edge: micro(2, 10),
    group: 5,
    opens: "broad",
  },
};

/** The periods, widths and the subcarrier of a system. */
export function rates(system: VideoSystem): Rates {
  const { group: _group, opens: _opens, ...figures } = tables[system];
  return figures;
}

/**
 * The pulses of one period, in order of time.
 * - `line`: one per line, uninterrupted through the field sync, as from a separator that ignores pulses for half a line.
 * - `field`: one per field, from the first broad pulse's leading to the last one's trailing edge.
 * - `composite`: one frame with its equalising and broad pulses; without interlace one field of whole lines, in
 *   which the groups begin where they do in the first field.
 */
export function syncPulses(
  system: VideoSystem,
  which: SyncKind,
  interlaced = true,
): { pulses: readonly SyncPulse[]; period: Fraction } {
  const table = tables[system];
  const { line, group } = table;
  const half = line.div(2);
  // Half lines of a field.
  const halves = interlaced ? table.linesAFrame : 2 * wholeLines(system);
  if (which === "line") return { pulses: [{ at: ratio(0), width: table.sync }], period: line };
  const broadAt = half.mul(table.opens === "broad" ? 0 : group);
  if (which === "field") {
    const width = half.mul(group - 1).add(table.broad);
    return { pulses: [{ at: broadAt, width }], period: half.mul(halves) };
  }
  const pulses: SyncPulse[] = [];
  // Counted in half lines: each one of the three groups carries a pulse, and each other one at which a line begins.
  const first = table.opens === "broad" ? -group : 0;
  const all = interlaced ? 2 * halves : halves;
  for (let h = 0; h < all; h++) {
    // Place within the field, with the group before the broad pulses first.
    const place = (h - first) % halves;
    const at = half.mul(h);
    if (place < group) pulses.push({ at, width: table.equalising });
    else if (place < 2 * group) pulses.push({ at, width: table.broad });
    else if (place < 3 * group) pulses.push({ at, width: table.equalising });
    else if (h % 2 === 0) pulses.push({ at, width: table.sync });
  }
  return { pulses, period: half.mul(all) };
}

/**
 * The pulses as a wave, `high` (V) during sync and `low` otherwise, with 10-90 % `edges` in seconds (default 0, a
 * jump). Throws ShapeError `negative-edges` or `slow-edges`.
 */
export function sync(
  system: VideoSystem,
  which: SyncKind,
  of: { low: Fraction; high: Fraction; edges?: Fraction },
): Wave {
  const { pulses, period } = syncPulses(system, which);
  return train(pulses, { low: of.low, high: of.high, edges: of.edges, period });
}
