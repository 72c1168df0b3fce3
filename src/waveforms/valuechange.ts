// Traces as a value change dump with real variables (IEEE Std 1364-2005, clause 18): a head that names every variable within its
// scopes, then each instant as a whole number of the time scale, and the values that change there. A variable keeps its value
// until the next change, so a curve is written as stairs; at a jump the value after it is written.
import { sideBySide } from "./sidebyside.js";
import type { Trace } from "./trace.js";

/** The time scales, finest first (18.2.3.7), s. */
const scales = [15, 14, 13, 12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1, 0].map((exponent) => {
  const third = Math.ceil(exponent / 3);
  const unit = ["s", "ms", "us", "ns", "ps", "fs"][third];
  return { perSecond: 10 ** exponent, name: `${10 ** (3 * third - exponent)} ${unit}` };
});

/** The most that a stair rises, as a share of the swing of its trace. */
const stair = 1 / 256;

/**
 * A value change dump, one line at a time. Names with points are variables within scopes; the unit is in a comment. The time
 * scale is the finest, from 1 fs up, in which doubles still count the last instant exactly.
 */
export function* valueChanges(traces: readonly Trace[]): Generator<string, void, undefined> {
  const end = Math.max(...traces.map((t) => t.to));
  const scale =
    scales.find(({ perSecond }) => end * perSecond <= Number.MAX_SAFE_INTEGER) ?? scales[scales.length - 1];
  yield `$version Rampwright $end\n$timescale ${scale.name} $end\n`;
  for (const { name, unit } of traces) yield `$comment ${reference(name)} in ${unit || "1"} $end\n`;
  for (const [i, { name }] of traces.entries()) yield* declaration(name, code(i));
  yield "$enddefinitions $end\n";
  const last: (number | undefined)[] = [];
  let told = -1;
  for (const { at, values } of inStairs(traces)) {
    const lines = values.flatMap((value, i) => {
      if (value === undefined || !Number.isFinite(value) || value === last[i]) return [];
      last[i] = value;
      return [`r${value === 0 ? 0 : value} ${code(i)}\n`];
    });
    const tick = Math.round(at * scale.perSecond);
    if (lines.length === 0 && at !== end) continue;
    const first = told < 0;
    if (tick !== told) yield `#${tick}\n`;
    told = tick;
    yield first ? `$dumpvars\n${lines.join("")}$end\n` : lines.join("");
  }
}

/** All traces at each of their instants, and between two as often as it takes for none to rise by more than a stair. */
function* inStairs(
  traces: readonly Trace[],
): Generator<{ at: number; values: readonly (number | undefined)[] }> {
  const steps = traces.map(({ value }) => {
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const v of value) [low, high] = [Math.min(low, v), Math.max(high, v)];
    return stair * (high - low);
  });
  let from = Number.NaN;
  let last: readonly (number | undefined)[] = [];
  for (const { at, before, after } of sideBySide(traces)) {
    let count = 1;
    for (const [i, step] of steps.entries()) {
      const rise = Math.abs((before[i] ?? Number.NaN) - (last[i] ?? Number.NaN));
      if (rise > step) count = Math.max(count, Math.ceil(rise / step));
    }
    for (let k = 1; k < count; k++) {
      const between = from + (k / count) * (at - from);
      yield { at: between, values: traces.map((trace) => trace.at(between)) };
    }
    yield { at, values: after };
    from = at;
    last = after.slice();
  }
}

function* declaration(name: string, code: string): Generator<string> {
  const words = name.split(".");
  const own = words.pop()!;
  for (const word of words) yield `$scope module ${reference(word)} $end\n`;
  yield `$var real 64 ${code} ${reference(own)} $end\n`;
  for (const _ of words) yield "$upscope $end\n";
}

/** A name that is not a simple identifier is escaped (3.7.1): a backslash before it, a blank after. */
function reference(name: string): string {
  return /^[A-Za-z_][A-Za-z0-9_$]*$/.test(name) ? name : `\\${name}`;
}

/** The code of a variable: printable characters from ! to ~ (18.2.1), as few as possible. */
function code(index: number): string {
  let text = "";
  for (let i = index; i >= 0; i = Math.floor(i / 94) - 1) text = String.fromCharCode(33 + (i % 94)) + text;
  return text;
}
