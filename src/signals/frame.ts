// Where things lie in a frame: strips of picture among the half lines, blanking, bursts, edges; all in whole units of the system,
// from the same tables as the sync pulses. Time zero is 0H of line 1. Both fields of an interlaced frame have strips for the same
// height of picture, one field a row higher than the other; a half line of picture is a strip of half the width.
import { type Fraction, ratio } from "../base/fraction.js";
import { rates, type VideoSystem, wholeLines } from "./sync.js";

/** A stretch of picture on one line: from and to in units after `line`, 0H of its line. */
export interface PictureStrip {
  /** Row of the picture of both fields, from the top. */
  readonly row: number;
  readonly line: number;
  readonly from: number;
  readonly to: number;
}

/** The figures of a system in units. */
export interface Raster {
  readonly system: VideoSystem;
  /** Seconds. */
  readonly unit: Fraction;
  /** Units of half a line. */
  readonly half: number;
  /** Half lines after which the sync pulses repeat. */
  readonly halves: number;
  /** Rows of picture, both fields together. */
  readonly rows: number;
  /** After 0H: end of blanking, and where it begins again. */
  readonly from: number;
  readonly to: number;
  /** Half of a full straight edge: of sync, blanking, luminance, colour and of the burst's envelope. */
  readonly edges: {
    readonly sync: number;
    readonly blank: number;
    readonly picture: number;
    readonly colour: number;
    readonly burst: number;
  };
  /** Burst after 0H, at half of its envelope; absent in monochrome. */
  readonly burst?: { readonly from: number; readonly to: number };
  /** The strip that begins in each half line. */
  readonly strips: readonly (PictureStrip | undefined)[];
}

interface Figures {
  /** Units per second. */
  readonly units: number;
  /** Microseconds: blanking ends after 0H, begins before 0H; 10-90 % blanking edge. */
  readonly blankingEnd: number;
  readonly porch: number;
  readonly blankingEdge: number;
  /** Lines of field blanking from its first pulse on, line blanking apart. */
  readonly blankLines: number;
  /** Half lines before line 1 at which the first group of pulses begins. */
  readonly early: number;
  /** Highest frequency of the picture, MHz. */
  readonly bandwidth: number;
  /** Microseconds after 0H, or cycles. */
  readonly burstFrom: Fraction;
  readonly burstCycles: number;
}

// The units: every time of the tables below and every half of an edge is a whole number of them. In 525 lines the
// subcarrier's cycle, 88/315 µs, is one too; in 625 lines it is not commensurable with anything else, and the end
// of the burst goes to the nearest unit of 0.625 ns.
const in525: Figures = {
  units: 10_080e6,
  // SMPTE 170M-2004, tables 2 and 3: 9.20, 1.5, 0.140 µs; field blanking 20 lines + 1.5 µs, line blanking after it.
  blankingEnd: 9.2,
  porch: 1.5,
  blankingEdge: 0.14,
  blankLines: 20,
  early: 0,
  // 47 CFR 73.682: full amplitude to 4.0, useful to 4.2 MHz.
  bandwidth: 4.2,
  // SMPTE 170M-2004, table 2: 19 cycles after 0H, 9 cycles long.
  burstFrom: ratio(19 * 88, 315),
  burstCycles: 9,
};
const in625: Figures = {
  units: 1_600e6,
  // ITU-R BT.1700, tables 2 and 3: 10.5, 1.5, 0.3 µs; field blanking 25 lines + 12 µs.
  blankingEnd: 10.5,
  porch: 1.5,
  blankingEdge: 0.3,
  blankLines: 25,
  early: 5,
  // BT.470-6, systems B and G.
  bandwidth: 5,
  // BT.1700, table 2: 5.6 µs after 0H, 10 cycles long.
  burstFrom: ratio(56, 10),
  burstCycles: 10,
};

// Edge times without a source in the tables (common practice, no source): a picture of bandwidth B has 10-90 % edges
// of 0.35/B; colour has a bandwidth of 1.3 MHz; the burst's envelope takes 0.3 µs.
const colourBandwidth = 1.3;
const burstEdge = 0.3;

/** The raster of a system; without interlace one field of whole lines. */
export function rasterOf(system: VideoSystem, interlaced: boolean): Raster {
  const figures = system === "625/50" ? in625 : in525;
  const { line, linesAFrame, edge, subcarrier } = rates(system);
  const { units, blankLines, early } = figures;
  const micro = (us: number) => Math.round((us * units) / 1e6);
  // A straight edge takes 5/4 of its 10-90 % time.
  const halfEdge = (us: number) => micro((us * 5) / 8);
  const half = Number(line.div(2).mul(units).n);
  const halves = interlaced ? 2 * linesAFrame : 2 * wholeLines(system);
  const burstFrom = Math.round(figures.burstFrom.mul(units).div(1e6).valueOf());
  const cycles = subcarrier && ratio(units * figures.burstCycles).div(subcarrier);
  const from = micro(figures.blankingEnd);
  const to = 2 * half - micro(figures.porch);
  const fields = interlaced ? [-early, linesAFrame - early] : [-early];
  const strips: (PictureStrip | undefined)[] = new Array(halves).fill(undefined);
  fields.forEach((first, i) => {
    const end = fields[i + 1] ?? halves - early;
    for (let h = first + 2 * blankLines; h < end; h++) {
      const second = h % 2 === 1;
      // Only the first half line of a field's picture may be the second of its line.
      if (second && h > first + 2 * blankLines) continue;
      const at = second ? h - 1 : h;
      strips[h] = {
        row: at - first - 2 * blankLines + 1,
        line: at * half,
        from: second ? from + half : from,
        to: !second && h + 1 >= end ? to - half : to,
      };
    }
  });
  return {
    system,
    unit: ratio(1, units),
    half,
    halves,
    rows: linesAFrame - 2 * blankLines + 1,
    from,
    to,
    edges: {
      sync: Number(edge.mul(ratio(5, 8)).mul(units).n),
      blank: halfEdge(figures.blankingEdge),
      picture: halfEdge(0.35 / figures.bandwidth),
      colour: halfEdge(0.35 / colourBandwidth),
      burst: halfEdge(burstEdge),
    },
    burst: cycles && { from: burstFrom, to: burstFrom + Math.round(cycles.valueOf()) },
    strips,
  };
}

/**
 * Whether a line that begins with a sync pulse of its own carries a burst. In 625 lines nine lines
 * around each field sync have none, so that every field begins and ends with a burst of one phase (BT.1700, figure
 * 5): 623 to 6, 310 to 318, 622 to 5, 311 to 319 of the four fields. `line` from 1; `second` frame of the two.
 */
export function bearsBurst(system: VideoSystem, line: number, second: boolean, interlaced: boolean): boolean {
  if (system !== "625/50") return true;
  if (!interlaced) return line > 6 && line < 310;
  return second
    ? line > 5 && !(line >= 311 && line <= 319) && line < 623
    : line > 6 && !(line >= 310 && line <= 318) && line < 622;
}
