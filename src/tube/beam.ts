// The beam on its way: three traces to light on a screen.
// Takes traces of two sweeps and a drive, each with its own samples, and a spot; lays light along the path. Always: the
// path is the traces' own curve (`waveforms/arc.ts`), cut where any of the three has a sample, and then so finely
// that a piece is not longer than a standard deviation of the spot; at a jump the beam leaves no light, as it takes no
// time. What is dark or beside the screen is not cut at all, so a blanked line costs next to nothing.
//
// Notation, over one stretch between neighbouring samples, u running 0..1:
//   x, y    position, px     g    drive, 0 at cut-off and 1 at full
//   A cubic strays from the chord of a piece of length w by bend · w²/8 at most, bend = max |second derivative|.
import { Arc } from "../waveforms/arc.js";
import type { Trace } from "../waveforms/trace.js";
import { power } from "./power.js";
import type { Screen } from "./screen.js";
import type { Spot } from "./spot.js";

/** Steps of the table of light over drive from 0 to 1. */
const shades = 4096;
/** The drive may change by this much of its range within a piece: Simpson's rule does the rest. */
const change = 1 / 16;
/** Pieces are halved this often at most. */
const deepest = 40;

/** Lays the light of a span of time. */
export class Beam {
  private readonly x = new Cubic();
  private readonly y = new Cubic();
  private readonly g = new Cubic();
  private readonly shade: Float64Array;
  /** Length of the stretch in hand, s. */
  private lasts = 0;

  constructor(
    private readonly screen: Screen,
    private readonly spot: Spot,
    private readonly width: number,
    private readonly height: number,
  ) {
    this.shade = Float64Array.from({ length: shades + 2 }, (_, i) => power(i / shades, screen.gamma));
  }

  /** Draws what the screen shows from its `from` to its `to`; nothing without a drive. */
  draw(): void {
    const { across, down, drive, left, right, top, bottom, cutoff, full, from, to } = this.screen;
    if (!drive) return;
    const heads = [new Head(across), new Head(down), new Head(drive)] as const;
    const [sideways, upright, bright] = heads;
    for (let t = from; t < to; ) {
      let end = to;
      for (const head of heads) end = Math.min(end, head.seek(t));
      // Beyond the last sample of a trace there is nothing to draw.
      if (!(end > t)) return;
      const { g, x, y } = this;
      g.take(bright.arc, t, end, cutoff, 1 / (full - cutoff));
      if (g.finite && Math.max(g.c0, g.end) + g.bend / 8 > 0) {
        x.take(sideways.arc, t, end, left, this.width / (right - left));
        y.take(upright.arc, t, end, top, this.height / (bottom - top));
        this.lasts = end - t;
        if (x.finite && y.finite) this.piece(0, 1, x.c0, y.c0, g.c0, x.end, y.end, g.end, 0);
      }
      t = end;
    }
  }

  /** Light of a beam at a drive; 1 at 1, and more beyond. */
  private light(g: number): number {
    if (g <= 0) return 0;
    if (g > 1) return power(g, this.screen.gamma);
    const at = g * shades;
    const i = Math.floor(at);
    return this.shade[i] + (this.shade[i + 1] - this.shade[i]) * (at - i);
  }

  private piece(
    u0: number,
    u1: number,
    x0: number,
    y0: number,
    g0: number,
    x1: number,
    y1: number,
    g1: number,
    depth: number,
  ): void {
    const { x, y, g, spot } = this;
    const stray = ((u1 - u0) * (u1 - u0)) / 8;
    const [dx, dy, dg] = [x.bend * stray, y.bend * stray, g.bend * stray];
    if (Math.max(g0, g1) + dg <= 0) return;
    const { marginAcross: across, marginDown: down } = spot;
    if (Math.max(x0, x1) + dx < -across || Math.min(x0, x1) - dx > this.width + across) return;
    if (Math.max(y0, y1) + dy < -down || Math.min(y0, y1) - dy > this.height + down) return;
    const far = (Math.abs(x1 - x0) + 2 * dx) / spot.across;
    const deep = (Math.abs(y1 - y0) + 2 * dy) / spot.down;
    const middle = (u0 + u1) / 2;
    const gm = g.at(middle);
    if (
      (far * far + deep * deep <= 1 && Math.abs(g1 - g0) + 2 * dg <= change * Math.max(1, gm)) ||
      depth >= deepest
    ) {
      const [l0, lm, l1] = [this.light(g0), this.light(gm), this.light(g1)];
      const mean = (l0 + 4 * lm + l1) / 6;
      if (!(mean > 0)) return;
      // The spot stands where the light's middle is, which a rising drive moves towards its end.
      const at = middle + ((u1 - u0) * (l1 - l0)) / (12 * mean);
      spot.lay(x.at(at), y.at(at), mean * (u1 - u0) * this.lasts);
      return;
    }
    const [xm, ym] = [x.at(middle), y.at(middle)];
    this.piece(u0, middle, x0, y0, g0, xm, ym, gm, depth + 1);
    this.piece(middle, u1, xm, ym, gm, x1, y1, g1, depth + 1);
  }
}

/** A trace's arc at an instant that only moves on. */
class Head {
  readonly arc = new Arc();
  private i = -1;

  constructor(private readonly trace: Trace) {}

  /** Loads the arc that begins at `t` or runs through it; gives its end, or `t` where the trace has ended. */
  seek(t: number): number {
    const { time } = this.trace;
    let i = this.i < 0 ? this.trace.index(t) : this.i;
    while (i + 1 < time.length && time[i + 1] <= t) i++;
    if (i < 0 || i + 1 >= time.length) return t;
    if (i !== this.i) this.arc.load(this.trace, i);
    this.i = i;
    return time[i + 1];
  }
}

/** A part of an arc as a polynomial in u, moved and scaled. */
class Cubic {
  c0 = 0;
  private c1 = 0;
  private c2 = 0;
  private c3 = 0;
  /** Value at the end. */
  end = 0;
  /** Largest size of the second derivative. */
  bend = 0;

  take(arc: Arc, from: number, to: number, zero: number, scale: number): void {
    const s = (from - arc.start) / arc.length;
    const w = (to - arc.start) / arc.length - s;
    const { bendFirst: A, bendLast: B } = arc;
    // p(s) of arc.ts by powers of s, then s + w u for s.
    const [a1, a2, a3] = [arc.rise + A, -(2 * A + B), A + B];
    this.c0 = (arc.first + s * (a1 + s * (a2 + s * a3)) - zero) * scale;
    this.c1 = (a1 + s * (2 * a2 + 3 * s * a3)) * w * scale;
    this.c2 = (a2 + 3 * s * a3) * w * w * scale;
    this.c3 = a3 * w * w * w * scale;
    this.end = this.at(1);
    this.bend = Math.max(Math.abs(2 * this.c2), Math.abs(2 * this.c2 + 6 * this.c3));
  }

  at(u: number): number {
    return this.c0 + u * (this.c1 + u * (this.c2 + u * this.c3));
  }

  get finite(): boolean {
    return Number.isFinite(this.c0) && Number.isFinite(this.end) && Number.isFinite(this.bend);
  }
}
