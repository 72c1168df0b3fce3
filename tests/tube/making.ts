// Traces and screens by formula, for the tests of the picture.

import type { Image } from "../../src/tube/image.js";
import type { Screen } from "../../src/tube/screen.js";
import { Trace } from "../../src/waveforms/trace.js";

/** A trace of straight lines through points; two of one time are a jump. */
export function points(list: readonly (readonly [number, number])[]): Trace {
  return new Trace({
    name: "made",
    unit: "V",
    time: Float64Array.from(list, (p) => p[0]),
    value: Float64Array.from(list, (p) => p[1]),
  });
}

/** A trace by a formula and its derivative, at so many samples. */
export function curve(
  to: number,
  count: number,
  value: (t: number) => number,
  slope: (t: number) => number,
): Trace {
  const time = Float64Array.from({ length: count + 1 }, (_, i) => (to * i) / count);
  return new Trace({ name: "made", unit: "V", time, value: time.map(value), slope: time.map(slope) });
}

/** Sweeps from 0 to 1 in `active`, back in the rest of `every`; again and again until `to`, which ends a period. */
export function sawtooth(active: number, every: number, to: number): Trace {
  const count = Math.round(to / every);
  const list: [number, number][] = [[0, 0]];
  for (let k = 0; k < count; k++) list.push([k * every + active, 1], [(k + 1) * every, 0]);
  return points(list);
}

/** A drive of 1 in spans of time, else 0. */
export function pulses(spans: readonly (readonly [number, number])[], to: number, high = 1): Trace {
  const list: [number, number][] = [[0, 0]];
  for (const [from, until] of spans) list.push([from, 0], [from, high], [until, high], [until, 0]);
  list.push([to, 0]);
  return points(list);
}

/**
 * Two ramps and the drive of a crosshatch, 625 lines 50 fields: what a march that leaps would leave, corners and the
 * points that a cubic needs. The ramps bend a little, as a current source with an output resistance makes them; bars
 * have edges of a raised cosine, 150 ns long (BT.470-6 allows for as much), and lines are whole.
 */
export function crosshatch(frames = 2): Pick<Screen, "across" | "down" | "drive"> {
  const [line, active, start] = [64e-6, 52e-6, 10.5e-6];
  const to = frames * 0.04;
  const bent = (u: number, by: number) => (1 - Math.exp(-by * u)) / (1 - Math.exp(-by));
  const across = new Pieces();
  for (let t = 0; t < to - 1e-9; t += line) {
    across.cubic(t, t + line - active, 3, (u) => bent(1 - u, 3), 1);
    across.cubic(t + line - active, t + line, 8, (u) => bent(u, 0.05), 1);
  }
  const down = new Pieces();
  for (let t = 0; t < to - 1e-9; t += 0.02) {
    down.cubic(t, t + 1.6e-3, 6, (u) => bent(1 - u, 4), 1);
    down.cubic(t + 1.6e-3, t + 0.02, 12, (u) => bent(u, 0.05), 1);
  }
  const drive = new Pieces();
  const edge = 150e-9;
  const soft = (u: number) => (1 - Math.cos(Math.PI * u)) / 2;
  drive.point(0, 0, 0);
  for (let k = 0; k < Math.round(to / line); k++) {
    const t = k * line + start + 1.5e-6;
    const row = k % 312.5;
    if (row < 25) continue;
    if ((row - 25) % 24 < 2) {
      drive.cubic(t, t + edge, 6, soft, 0.95);
      drive.cubic(t + active - 0.5e-6 - edge, t + active - 0.5e-6, 6, (u) => soft(1 - u), 0.95);
      continue;
    }
    for (let bar = 0; bar < 19; bar++) {
      const at = t + (active * (bar + 0.4)) / 19.5;
      drive.cubic(at, at + edge, 6, soft, 0.95);
      drive.cubic(at + 250e-9, at + 250e-9 + edge, 6, (u) => soft(1 - u), 0.95);
    }
  }
  drive.point(to, 0, 0);
  return { across: across.trace(), down: down.trace(), drive: drive.trace() };
}

/** Samples with slopes on both sides, piece by piece. */
class Pieces {
  private readonly rows: [number, number, number, number][] = [];

  /** A kink-free point, or one where a piece ends and another begins. */
  point(t: number, v: number, slope: number): void {
    const last = this.rows.at(-1);
    if (last && last[0] >= t - 1e-15 * t && last[1] === v) last[2] = slope;
    else this.rows.push([t, v, slope, slope]);
  }

  /** A formula over u from 0 to 1, in so many cubics. */
  cubic(from: number, to: number, count: number, f: (u: number) => number, scale: number): void {
    const h = 1e-6;
    for (let k = 0; k <= count; k++) {
      const u = k / count;
      const [a, b] = [Math.max(0, u - h), Math.min(1, u + h)];
      const slope = ((f(b) - f(a)) / (b - a) / (to - from)) * scale;
      this.point(from + (to - from) * u, f(u) * scale, slope);
    }
  }

  trace(): Trace {
    const column = (k: number) => Float64Array.from(this.rows, (row) => row[k]);
    const [time, value, slope, slopeBefore] = [column(0), column(1), column(2), column(3)];
    return new Trace({ name: "made", unit: "V", time, value, slope, slopeBefore });
  }
}

/** A screen from 0 to 1 both ways, light in proportion to a drive from 0 to 1, unless said otherwise. */
export function screenOf(
  traces: Pick<Screen, "across" | "down" | "drive">,
  more: Partial<Screen> = {},
): Screen {
  return {
    ...traces,
    left: 0,
    right: 1,
    top: 0,
    bottom: 1,
    cutoff: 0,
    full: 1,
    gamma: 1,
    spot: 0.01,
    aspect: 4 / 3,
    from: traces.across.from,
    to: traces.across.to,
    shows: "run",
    ...more,
  };
}

/** Where the light of a part of a picture has its middle, px from the left and the top, and how much it is. */
export function middle(
  image: Image,
  { left = 0, right = image.width, top = 0, bottom = image.height } = {},
): { x: number; y: number; sum: number } {
  let [x, y, sum] = [0, 0, 0];
  for (let j = top; j < bottom; j++) {
    for (let i = left; i < right; i++) {
      const light = image.light[j * image.width + i];
      sum += light;
      x += light * (i + 0.5);
      y += light * (j + 0.5);
    }
  }
  return { x: x / sum, y: y / sum, sum };
}
