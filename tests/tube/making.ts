// Traces and screens by formula, for the tests of the picture.

import type { Image } from "../../src/tube/raster.js";
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
      const light = image.light[j * image.width + i]!;
      sum += light;
      x += light * (i + 0.5);
      y += light * (j + 0.5);
    }
  }
  return { x: x / sum, y: y / sum, sum };
}
