// How much light is white: what a beam at full drive leaves where the sweeps go at their usual pace.
// The pace is the median over the screen, so a stretch where the beam lingers (blanking at an edge, a bent or stuck sweep) does
// not change what counts as white. Only the forward sweep counts, not the retrace.
import { crossings } from "../measures/crossing.js";
import { walk } from "../measures/window.js";
import type { Trace } from "../waveforms/trace.js";
import type { Screen } from "./screen.js";

/** Strips of equal width that the screen is cut into to see how long the beam stays in each. */
const strips = 64;
/** Missing lines after which the sweep counts as stopped: a field sync may hide fewer. */
const pause = 16;

/**
 * Light of a white pixel in a picture of width × height, in seconds of full beam. If columns and rows were visited
 * independently, a beam at full drive would leave (time shown) · (a column's share of it) · (a row's share of it) on each
 * pixel; averaged over the lines, a scanned picture does just that.
 */
export function whiteLight(screen: Screen, width: number, height: number): number {
  const { across, down, left, right, top, bottom, from, to } = screen;
  const columns = (usualStay(across, [left, right], screen, 1) * (to - from)) / swept(screen);
  // Less than a field shows only part of the height, but its rows are lit as long as a whole field's.
  const rows = usualStay(down, [top, bottom], screen, Math.max(1, (screen.field ?? 0) / (to - from)));
  return ((to - from) * columns * rows) / (width * height);
}

/** How long the line sweep runs within the time shown: all of it, unless the sweep stops for long. */
function swept({ across, left, right, from, to }: Screen): number {
  const back = right > left ? "falling" : "rising";
  const ends = crossings(across, from, to, (left + right) / 2).filter(({ direction }) => direction === back);
  if (ends.length < 2) return to - from;
  const instants = [from, ...ends.map(({ time }) => time), to];
  const apart = Float64Array.from(instants.slice(1), (time, i) => time - instants[i]);
  const line = apart.slice(1, -1).sort()[(ends.length - 1) >> 1];
  return apart.reduce((sum, gap) => sum + (gap > pause * line ? line : gap), 0);
}

/**
 * Median over the strips of the time spent in a strip in the slower direction, relative to an even spread over the screen;
 * `unknown` if half the screen is never visited, as there is no pace then.
 */
function usualStay(
  trace: Trace,
  [low, high]: readonly [number, number],
  { from, to }: Screen,
  unknown: number,
): number {
  const there = new Float64Array(strips);
  const back = new Float64Array(strips);
  const scale = strips / (high - low);
  walk(trace, from, to, (arc, s0, s1) => {
    // A curve that strays noticeably from its chord is cut into eight.
    const parts = (Math.abs(arc.bendFirst) + Math.abs(arc.bendLast)) * Math.abs(scale) > 1 / 8 ? 8 : 1;
    const step = (s1 - s0) / parts;
    let a = (arc.value(s0) - low) * scale;
    for (let k = 1; k <= parts; k++) {
      const b = (arc.value(s0 + step * k) - low) * scale;
      spread(b < a ? back : there, Math.min(a, b), Math.max(a, b), step * arc.length);
      a = b;
    }
  });
  const stay = Math.max(median(there), median(back));
  return stay > 0 ? (stay * strips) / (to - from) : unknown;
}

function median(time: Float64Array): number {
  time.sort();
  return (time[strips / 2 - 1] + time[strips / 2]) / 2;
}

/** Spreads a time evenly over the strips from `a` to `b`, in strips; time spent off the screen is dropped. */
function spread(time: Float64Array, a: number, b: number, lasts: number): void {
  if (!(b >= 0 && a < strips)) return;
  const first = Math.max(0, Math.floor(a));
  const last = Math.min(strips - 1, Math.floor(b));
  if (!(b > a)) {
    time[first] += lasts;
    return;
  }
  for (let k = first; k <= last; k++) {
    time[k] += (lasts * Math.max(0, Math.min(b, k + 1) - Math.max(a, k))) / (b - a);
  }
}
