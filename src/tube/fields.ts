// Which time a picture shows. A field runs from one return of the field sweep to the next. A picture of one and a quarter
// fields would lay the quarter over the field and show it twice as bright, so a picture shows the last whole frame (two
// fields), failing that the last whole field, failing that the part of a field that there is.
import { refuseOption } from "../base/asked.js";
import { toNumber } from "../base/fraction.js";
import type { PartSpec } from "../design/design.js";
import { type Crossing, crossings } from "../measures/crossing.js";
import { traceBounds } from "../measures/window.js";
import type { Trace } from "../waveforms/trace.js";

/**
 * What the time shown is: the last whole `frame` or `field` of the run; `part` of a field if the run has no whole one; the
 * whole `run` if the length of a field is unknown; a `time` that was asked for.
 */
export type Exposed = "frame" | "field" | "part" | "run" | "time";

/** A time shown, s. */
export interface ShownTime {
  /** Where it begins, s. */
  readonly from: number;
  /** Where it ends, s. */
  readonly to: number;
  readonly shows: Exposed;
  /** How long a field lasts; absent if unknown. */
  readonly field?: number;
}

/** A whole field may lack this share of itself: a run that ends on a line ends before the sweep has returned. */
const lacking = 1 / 50;
/** Two instants this near, as a share of a field, are the same. */
const rounding = 1e-9;

/** The field sweep, and what else shows when fields begin. */
export interface FieldSweep {
  readonly down: Trace;
  /** Its values at the edges of the screen, where they are known. */
  readonly edges?: { readonly top: number; readonly bottom: number };
  readonly parts: readonly PartSpec[];
}

/** When fields begin: at the instants seen, extended at equal spacing both ways. */
interface Fields {
  readonly starts: readonly number[];
  readonly length: number;
}

/**
 * The time shown between two instants, either of which may be left open. Both must lie within the sweep's trace.
 * @throws DesignError `bad-option` if the time is empty or outside the run
 */
export function shownTime(sweep: FieldSweep, from: number | undefined, to: number | undefined): ShownTime {
  const { down } = sweep;
  const end = to === undefined ? down.to : inside(down, to, "to");
  const begin = from === undefined ? down.from : inside(down, from, "from");
  if (!(begin < end)) refuseOption("from", "the time to show is empty");
  const fields = fieldsOf(sweep, end);
  const field = fields && { field: fields.length };
  if (from !== undefined || !fields) {
    const shows = from === undefined && to === undefined ? "run" : "time";
    return { from: begin, to: end, shows, ...field };
  }
  for (const [shows, count] of [
    ["frame", 2],
    ["field", 1],
  ] as const) {
    const [first, last] = lastWhole(fields, begin, end, count);
    if (first >= begin) return { from: first, to: last, shows, ...field };
  }
  return { from: begin, to: end, shows: "part", ...field };
}

/**
 * The last `count` whole fields between two instants, as the sweep draws them, earliest first; fewer if there are fewer, none
 * if the length of a field is unknown.
 */
export function lastFields(sweep: FieldSweep, begin: number, end: number, count: number): ShownTime[] {
  const fields = fieldsOf(sweep, end);
  if (!fields) return [];
  const found: ShownTime[] = [];
  for (let to = end; found.length < count; ) {
    const [first, last] = lastWhole(fields, begin, to, 1);
    if (first < begin) break;
    found.unshift({ from: first, to: last, shows: "field", field: fields.length });
    to = first;
  }
  return found;
}

// An instant rounded to a tick may lie a rounding error outside the trace.
function inside(down: Trace, t: number, what: string): number {
  const play = rounding * (down.to - down.from);
  if (t < down.from - play || t > down.to + play)
    refuseOption(what, `${t} s lies outside the run, which has samples from ${down.from} s to ${down.to} s`);
  return Math.min(Math.max(t, down.from), down.to);
}

/**
 * First and last instant of the last `count` whole fields; the first is before `begin` if there are not enough. Time missing at
 * the end of the last field is made up before the first.
 */
function lastWhole(
  { starts, length }: Fields,
  begin: number,
  end: number,
  count: number,
): [from: number, to: number] {
  const play = rounding * length;
  const slack = lacking * length;
  // The grid near the end: instants seen, extended at equal spacing.
  const seen = starts.filter((t) => t <= end + slack);
  const anchor = seen.at(-1) ?? starts[0];
  const last = anchor + Math.floor((end + slack - anchor) / length) * length;
  const grid = [last];
  for (let k = seen.length - 1; grid.length <= count; ) {
    const next = grid[0] - length;
    // A return that was seen replaces the equally spaced instant.
    while (k >= 0 && !(seen[k] < grid[0] - length / 2)) k--;
    grid.unshift(k >= 0 && seen[k] > next - length / 2 ? seen[k] : next);
  }
  const over = Math.max(0, last - end);
  const first = grid[0] - over;
  if (first >= begin) return [first, last - over];
  // A run may also begin shortly after the sweep's return.
  if (first >= begin - slack && begin + last - grid[0] <= end + play)
    return [begin, Math.min(end, begin + last - grid[0])];
  // Off the grid, but long enough.
  if (end - begin >= count * length - play) return [Math.max(begin, end - count * length), end];
  return [Number.NEGATIVE_INFINITY, end];
}

/** When fields begin: from the sweep's own returns, or from the design's signals if there are fewer than two. */
function fieldsOf({ down, edges, parts }: FieldSweep, end: number): Fields | undefined {
  if (!(end > down.from)) return undefined;
  const swing = () => {
    const { low, high } = traceBounds(down, down.from, end);
    return { top: low, bottom: high };
  };
  const screenful = edges ? returns(down, end, edges) : [];
  // A sweep smaller than the screen also returns; but a single drop in its own range may be its death.
  const own = screenful.length > 1 ? screenful : returns(down, end, swing());
  const seen = own.length > 1 || !edges ? own : screenful;
  if (seen.length > 1) {
    const apart = seen.slice(1).map((t, i) => t - seen[i]);
    apart.sort((a, b) => a - b);
    return { starts: seen, length: apart[apart.length >> 1] };
  }
  const length = signalled(parts);
  return length === undefined ? undefined : { starts: seen.length > 0 ? seen : [0], length };
}

/** Instants at which the beam is half-way back, on its return from the last quarter of its path to the first. */
function returns(down: Trace, end: number, { top, bottom }: { top: number; bottom: number }): number[] {
  const back = bottom > top ? "falling" : "rising";
  const across = (share: number, way: Crossing["direction"]) =>
    crossings(down, down.from, end, top + (bottom - top) * share)
      .filter(({ direction }) => direction === way)
      .map(({ time }) => time);
  const late = across(0.75, back);
  const half = across(0.5, back);
  const early = across(0.25, back);
  const found: number[] = [];
  // Ripple crosses one level repeatedly, but not all three in turn.
  for (let i = 0, j = 0, k = 0; i < late.length; ) {
    while (k < early.length && early[k] < late[i]) k++;
    if (k >= early.length) break;
    while (j + 1 < half.length && half[j + 1] <= early[k]) j++;
    if (half[j] >= late[i] && half[j] <= early[k]) found.push(half[j]);
    while (i < late.length && late[i] <= early[k]) i++;
  }
  return found;
}

/** The field period of the design's video, else the period of its slowest periodic signal. */
function signalled(parts: readonly PartSpec[]): number | undefined {
  let slowest: number | undefined;
  for (const { wave } of parts) {
    if (wave?.shape.kind === "packed" && wave.shape.picture) {
      const { periodStarts, picture } = wave.shape;
      const [frames, fields] = ["frames", "fields"].map((name) => periodStarts?.get(name)?.length ?? 1);
      return (toNumber(picture.frame) * frames) / fields;
    }
    const period =
      wave?.shape.kind === "segments" && wave.shape.period ? toNumber(wave.shape.period) : undefined;
    if (period !== undefined) slowest = Math.max(slowest ?? 0, period);
  }
  return slowest;
}
