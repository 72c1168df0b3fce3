// The path of the beam: three traces to light on a screen.
// The path follows the curves of the two sweep traces (`waveforms/arc.ts`). It is cut at every sample of the sweeps and the
// drive, then into pieces about as long as a standard deviation of the spot. A jump takes no time, so it leaves no light. What
// is dark or off the screen is not cut at all, so a blanked line costs next to nothing.
//
// Where the path is nearly level or nearly upright, as in a raster of lines, its light is first gathered along the path
// (`stroke.ts`); elsewhere spots are laid one by one. Both sample each piece at the two points of Gauss's rule, which is exact
// for a cubic; on pieces this short the bell is a cubic to about 1e-4. Notation; a piece's times count from the start of the
// stretch between samples that it lies in:
//   x, y    position, px     g    drive, 0 at cut-off and 1 at full
//   Over a piece of length w, a cubic strays from its chord by at most bend · w²/8, bend = max |second derivative|.

import { powerOf } from "../base/powers.js";
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";
import type { Screen } from "./screen.js";
import type { Points, Spot } from "./spot.js";
import { flattest, Stroke } from "./stroke.js";

/** Steps of the table of light over drive from 0 to 1. */
const shades = 1024;
/** Least number of pieces for the drive's whole range, however fast it changes; more where gamma is high. */
const grades = 4;
/** A stretch of more pieces than this is halved first: most of it may lie off the screen. */
const most = 64;
/** Longest piece, in standard deviations of the spot. */
const longest = 1.25;
/** Most halvings of a stretch. */
const deepest = 40;
/** Distance of Gauss's two points from the middle of a piece, as a share of its length: 1/√12. */
const beside = 0.28867513459481287;

/** How the light of a piece is laid. */
interface Way {
  readonly along: Head;
  readonly aside: Head;
  readonly onto: Stroke | Spot;
}

/** Lays the light of a span of time. */
export class BeamPath {
  private readonly shade: Float64Array;
  private readonly x: Head;
  private readonly y: Head;
  /** Absent if nothing drives the beam. */
  private readonly g: Head | undefined;
  private readonly level: Stroke;
  private readonly upright: Stroke;
  private readonly ways: Record<"level" | "upright" | "any", Way>;
  private readonly grades: number;
  private readonly points: Points & { readonly instants: Float64Array } = {
    instants: new Float64Array(2 * most),
    places: new Float64Array(2 * most),
    levels: new Float64Array(2 * most),
    amounts: new Float64Array(2 * most),
  };

  constructor(
    private readonly screen: Screen,
    private readonly spot: Spot,
    private readonly width: number,
    private readonly height: number,
  ) {
    this.shade = Float64Array.from({ length: shades + 2 }, (_, i) => powerOf(i / shades, screen.gamma));
    this.level = new Stroke(spot.light, spot.across, spot.down);
    this.upright = new Stroke(spot.light, spot.down, spot.across);
    const { across, down, drive, left, right, top, bottom, cutoff, full } = screen;
    this.x = new Head(across, left, width / (right - left));
    this.y = new Head(down, top, height / (bottom - top));
    this.g = drive && new Head(drive, cutoff, 1 / (full - cutoff));
    this.ways = {
      level: { along: this.x, aside: this.y, onto: this.level },
      upright: { along: this.y, aside: this.x, onto: this.upright },
      any: { along: this.x, aside: this.y, onto: spot },
    };
    this.grades = Math.max(grades, 1.5 * screen.gamma);
  }

  /**
   * Draws what the screen shows between two instants, by default the screen's own `from` and `to`; nothing without a drive. Calls
   * must follow each other in time.
   */
  draw({ from, to }: { readonly from: number; readonly to: number } = this.screen): void {
    const { x, y, g } = this;
    if (!g) return;
    for (let t = from; t < to; ) {
      const end = Math.min(to, x.seek(t), y.seek(t), g.seek(t));
      // Nothing to draw after a trace's last sample.
      if (!(end > t)) break;
      if (g.most > 0 && x.finite && y.finite) {
        const first = g.least < 0 ? lit(g, 0, end - t) : 0;
        const last = g.least < 0 ? lit(g, end - t, 0) : end - t;
        if (first < last) this.piece(g, first, last, 0);
      }
      t = end;
    }
    this.level.end();
    this.upright.end();
  }

  private piece(g: Head, from: number, to: number, depth: number): void {
    const { x, y, ways } = this;
    const g0 = g.at(from);
    const g1 = g.at(to);
    const dg = g.stray(from, to);
    if (Math.max(g0, g1) + dg <= 0) return;
    const x0 = x.at(from);
    const x1 = x.at(to);
    const dx = x.stray(from, to);
    const y0 = y.at(from);
    const y1 = y.at(to);
    const dy = y.stray(from, to);
    const { across, down } = this.spot;
    if (Math.max(x0, x1) + dx < -across.margin || Math.min(x0, x1) - dx > this.width + across.margin) return;
    if (Math.max(y0, y1) + dy < -down.margin || Math.min(y0, y1) - dy > this.height + down.margin) return;
    // The top speed within a piece exceeds its mean by four times the stray from its chord.
    const far = (Math.abs(x1 - x0) + 4 * dx) / across.deviation;
    const deep = (Math.abs(y1 - y0) + 4 * dy) / down.deviation;
    const shift = ((Math.abs(g1 - g0) + dg) * this.grades) / Math.max(1, g0, g1);
    const parts = Math.max(1, Math.ceil(Math.max(far / longest, deep / longest, shift)));
    if (parts > most && depth < deepest) {
      const middle = (from + to) / 2;
      this.piece(g, from, middle, depth + 1);
      this.piece(g, middle, to, depth + 1);
    } else if (8 * dx <= Math.abs(x1 - x0) && deep <= flattest * far) {
      this.level.go(x0, y0, x1, y1, dx);
      this.lay(ways.level, g, from, to, Math.min(parts, most));
    } else if (8 * dy <= Math.abs(y1 - y0) && far <= flattest * deep) {
      this.upright.go(y0, x0, y1, x1, dy);
      this.lay(ways.upright, g, from, to, Math.min(parts, most));
    } else this.lay(ways.any, g, from, to, Math.min(parts, most));
  }

  /** Lays the light of a piece, cut into `parts`. */
  private lay({ along, aside, onto }: Way, g: Head, from: number, to: number, parts: number): void {
    const step = (to - from) / parts;
    const { instants, places, levels, amounts } = this.points;
    // The two points of each part, one after the other.
    for (let k = 0, p = 0; k < parts; k++) {
      instants[p++] = from + step * (k + (0.5 - beside));
      instants[p++] = from + step * (k + (0.5 + beside));
    }
    along.follow(instants, 2 * parts, places);
    aside.follow(instants, 2 * parts, levels);
    g.follow(instants, 2 * parts, amounts);
    this.light(amounts, 2 * parts, step / 2);
    onto.lay(this.points, 2 * parts);
  }

  /** Turns drives into light in place: light 1 at drive 1, more beyond, times `seconds`. */
  private light(drives: Float64Array, count: number, seconds: number): void {
    const { shade } = this;
    const { gamma } = this.screen;
    for (let k = 0; k < count; k++) {
      const g = drives[k];
      const at = g * shades;
      const i = at | 0;
      const light = !(g > 0)
        ? 0
        : g > 1
          ? powerOf(g, gamma)
          : shade[i] + (shade[i + 1] - shade[i]) * (at - i);
      drives[k] = light * seconds;
    }
  }
}

/** Where the light begins, seen from one end of a stretch: that end, or where the drive passes cut-off. */
function lit(g: Head, end: number, other: number): number {
  if (g.at(end) >= 0 || g.at(other) <= 0) return end;
  let [dark, bright] = [end, other];
  for (let k = 0; k < 30; k++) {
    const middle = (dark + bright) / 2;
    if (g.at(middle) > 0) bright = middle;
    else dark = middle;
  }
  return dark;
}

/** A trace, shifted and scaled, at an instant that only moves forward: its arc there as a polynomial. */
class Head {
  private i = -1;
  private readonly arc = new Arc();
  /** Share of the arc that has passed at the instant of `seek`. */
  private base = 0;
  private perSecond = 0;
  private c0 = 0;
  private c1 = 0;
  private c2 = 0;
  private c3 = 0;
  /** An eighth of the largest second derivative, per second squared. */
  private bend = 0;
  /** An upper bound of the arc, and the lower of its two end values. */
  most = 0;
  least = 0;
  /** Whether all its values are finite. */
  finite = true;

  constructor(
    private readonly trace: Trace,
    private readonly zero: number,
    private readonly scale: number,
  ) {}

  /** Loads the arc that begins at `t` or runs through it; returns its end, or `t` after the trace's end. */
  seek(t: number): number {
    const { time } = this.trace;
    let i = this.i < 0 ? this.trace.index(t) : this.i;
    while (i + 1 < time.length && time[i + 1] <= t) i++;
    if (i < 0 || i + 1 >= time.length) return t;
    if (i !== this.i) this.load(i);
    this.base = (t - this.arc.start) * this.perSecond;
    return time[i + 1];
  }

  /** Position or drive `t` seconds after the instant of `seek`. */
  at(t: number): number {
    const s = this.base + t * this.perSecond;
    return this.c0 + s * (this.c1 + s * (this.c2 + s * this.c3));
  }

  /** The same at the first `count` instants. */
  follow(instants: Float64Array, count: number, into: Float64Array): void {
    const { base, perSecond, c0, c1, c2, c3 } = this;
    for (let k = 0; k < count; k++) {
      const s = base + instants[k] * perSecond;
      into[k] = c0 + s * (c1 + s * (c2 + s * c3));
    }
  }

  /** An upper bound on how far the arc strays from its chord between two instants. */
  stray(from: number, to: number): number {
    return this.bend * (to - from) * (to - from);
  }

  private load(i: number): void {
    const { arc, zero, scale } = this;
    this.i = i;
    const { bendFirst: A, bendLast: B, first, last, rise } = arc.load(this.trace, i);
    this.perSecond = 1 / arc.length;
    // p(s) of arc.ts in powers of s.
    this.c0 = (first - zero) * scale;
    this.c1 = (rise + A) * scale;
    this.c2 = -(2 * A + B) * scale;
    this.c3 = (A + B) * scale;
    const bend = Math.max(Math.abs(2 * this.c2), Math.abs(2 * this.c2 + 6 * this.c3)) / 8;
    this.bend = bend * this.perSecond * this.perSecond;
    const end = (last - zero) * scale;
    this.most = Math.max(this.c0, end) + bend;
    this.least = Math.min(this.c0, end);
    this.finite = Number.isFinite(this.most);
  }
}
