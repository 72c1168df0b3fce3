// A capture: the samples that an instrument took of one or several channels, all at the same instants.

import { refusal } from "../base/diagnostic.js";
import { handed } from "../base/handed.js";
import { didYouMeanOneOf } from "../base/nearest.js";
import { engineering } from "../base/quantity.js";
import type { TimeSpan } from "../measures/window.js";
import { Trace } from "../waveforms/trace.js";

/** One channel of a capture. */
export interface Channel {
  /** The name of its column, or its number if that has none. */
  readonly name: string;
  /** SI unit; empty if none is stated. */
  readonly unit: string;
  /** Samples in that unit; NaN where one is missing. */
  readonly value: Float64Array;
  /** The step of the scale, in that unit; 0 if there is only one value. */
  readonly resolution: number;
}

/** Samples of an instrument. */
export interface Capture {
  /** Its name in messages. */
  readonly name: string;
  /** Instants by the instrument's own clock, s, rising. */
  readonly time: Float64Array;
  /** In the order of their columns. */
  readonly channels: readonly Channel[];
  /** Stretches without samples, s, much longer than the usual distance between samples. */
  readonly holes: readonly TimeSpan[];
  /** Doubts about it, in words, as that it was cut off; absent if there are none. */
  readonly warnings?: readonly string[];
}

/** Values that are looked at to find the smallest step, and distances to find the usual one. */
const looked = 1 << 16;
/** A distance is a hole from this many usual ones on. */
const holeFrom = 1.5;

/**
 * The channel of a number, from 1, or a name; a capture with a single channel needs neither.
 * @throws DesignError `unknown-channel`
 */
export function channelOf({ name, channels }: Capture, asked?: number | string): Channel {
  const alike = channels.filter((c) => c.name === asked).length;
  if (alike > 1)
    throw refusal(
      "unknown-channel",
      `${name}: ${alike} of its channels are called ${asked}`,
      `name one by its number, 1 to ${channels.length}`,
    );
  const found =
    asked === undefined
      ? channels.length === 1 && channels[0]
      : typeof asked === "number"
        ? channels[asked - 1]
        : channels.find((c) => c.name === asked);
  if (found) return found;
  const names = channels.map((c) => c.name);
  const known = `it has ${channels.length === 1 ? "one channel" : `${channels.length} channels`}: ${names.join(", ")}`;
  if (asked === undefined)
    throw refusal("unknown-channel", `${name}: which of its channels is meant is not said`, known);
  const hint = typeof asked === "string" ? didYouMeanOneOf(asked, names) : known;
  throw refusal("unknown-channel", `${name} has no channel ${asked}`, hint);
}

/** The samples without the missing ones, with their instants. */
export function samplesOf(
  { time }: Capture,
  { value }: Channel,
): { readonly time: Float64Array; readonly value: Float64Array } {
  if (!value.some(Number.isNaN)) return { time, value };
  const kept = Uint32Array.from(value.keys()).filter((i) => !Number.isNaN(value[i]));
  return { time: Float64Array.from(kept, (i) => time[i]), value: Float64Array.from(kept, (i) => value[i]) };
}

/**
 * A channel as a trace, straight between samples, for measures and pictures.
 *
 * @category Captures
 * @example
 * ```ts
 * const capture = readCapture("Time (s),CH1 (V)\n0,0.0\n1e-6,0.1\n2e-6,0.2\n");
 * captured(capture, "CH1").at(1.5e-6).toFixed(3); // "0.150"
 * ```
 * @throws DesignError `unknown-channel`
 */
export function captured(capture: Capture, asked?: number | string): Trace {
  handed("capture", capture);
  const channel = channelOf(capture, asked);
  return new Trace({ name: channel.name, unit: channel.unit, ...samplesOf(capture, channel) });
}

/** A distance of two values belongs to a scale if it misses a whole number of its steps by less than this share of one. */
const offStep = 0.05;
/** Up to this share of the distances may belong to no step: samples that were spoilt. */
const mostOff = 0.1;

/**
 * The step of which all distances between values are multiples. The smallest distance is none by itself: a smooth curve taken at few
 * points of its period has wide gaps between its values, on however fine a scale.
 */
export function resolutionOf(value: Float64Array): number {
  const every = Math.ceil(value.length / looked);
  const some = value.filter((v, i) => i % every === 0 && !Number.isNaN(v)).sort();
  if (some.length === 0) return 0;
  const small = 1e-9 * (some[some.length - 1] - some[0]);
  const gaps = some.subarray(1).map((v, i) => v - some[i]);
  const steps = gaps.filter((gap) => gap > small);
  if (steps.length === 0) return 0;
  let step = Float64Array.from(steps).sort()[steps.length >> 1];
  // Euclid's algorithm, to within the rounding of written numbers.
  for (;;) {
    const off = steps
      .map((gap) => Math.abs(gap - step * Math.round(gap / step)))
      .filter((rest) => rest > offStep * step && rest > small);
    if (off.length <= mostOff * steps.length) return step;
    step = off.reduce((least, rest) => Math.min(least, rest));
  }
}

/** Distances are even if at least this share of them differs from the usual one by less than a hundredth. */
const mostlyEven = 0.9;

/** Says of a channel that drives how many stretches are without samples, and the longest; undefined if none is, or samples come when they like. */
export function lackingIn(capture: Capture, asked?: number | string): string | undefined {
  const { time } = samplesOf(capture, channelOf(capture, asked));
  const some = someDistances(time);
  const usual = some[some.length >> 1];
  const even = some.filter((d) => Math.abs(d - usual) < 0.01 * usual).length;
  const holes = even >= mostlyEven * some.length ? holesIn(time) : [];
  if (holes.length === 0) return undefined;
  const { from, to } = holes.reduce((a, b) => (b.to - b.from > a.to - a.from ? b : a));
  const many = holes.length === 1 ? "a stretch" : `${holes.length} stretches, the longest`;
  return `${capture.name} lacks samples over ${many} from ${engineering(from, "s")} to ${engineering(to, "s")}; the signal goes straight across`;
}

/** Distances between samples, some of many, the shortest first: the one in the middle is the usual one. */
function someDistances(time: Float64Array): Float64Array {
  const every = Math.ceil(time.length / looked);
  return Float64Array.from({ length: Math.floor((time.length - 1) / every) }, (_, k) => {
    const i = k * every;
    return time[i + 1] - time[i];
  }).sort();
}

/** Where samples are missing: stretches far longer than the usual distance. */
export function holesIn(time: Float64Array): { from: number; to: number }[] {
  const some = someDistances(time);
  const usual = some[some.length >> 1];
  const found: { from: number; to: number }[] = [];
  for (let i = 1; i < time.length; i++)
    if (time[i] - time[i - 1] > holeFrom * usual) found.push({ from: time[i - 1], to: time[i] });
  return found;
}
