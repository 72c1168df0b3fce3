// A trace as a small plot in text, for messages that cannot hold a picture.
import { engineering } from "../base/quantity.js";
import { crossings } from "../measures/crossing.js";
import { traceBounds } from "../measures/window.js";
import type { Trace } from "../waveforms/trace.js";

/** What is shown of a trace. */
export interface PlotOptions {
  /** The stretch of time, s. */
  readonly from: number;
  readonly to: number;
  /** Levels drawn across, in the trace's unit. */
  readonly levels: readonly number[];
  /** The instant marked below the plot, s. */
  readonly mark: number;
}

const columns = 60;
const rows = 9;
/** The most crossings of its middle that a plot shows: more would leave a wave less than ten columns, and soon a solid block. */
const mostCrossings = 12;

/**
 * Lines of text: the trace as `*`, levels as `-`, the instant as `^`. Empty if the trace has nothing in the stretch. Of a trace that goes
 * up and down many times only what is around the instant is shown.
 */
export function textPlot(trace: Trace, { from, to, levels, mark }: PlotOptions): string[] {
  const [first, last] = around(trace, Math.max(from, trace.from), Math.min(to, trace.to), mark);
  if (!(first < last)) return [];
  const edge = (c: number) => (c === columns ? last : first + ((last - first) * c) / columns);
  const seen = Array.from({ length: columns }, (_, c) => traceBounds(trace, edge(c), edge(c + 1)));
  const finite = [...seen.flatMap(({ low, high }) => [low, high]), ...levels].filter(Number.isFinite);
  const [least, most] = [Math.min(...finite), Math.max(...finite)];
  const room = most > least ? most - least : Math.abs(most) || 1;
  const rowOf = (v: number) => Math.round((rows - 1) * Math.min(1, Math.max(0, (most - v) / room)));
  const cells = Array.from({ length: rows }, () => Array.from({ length: columns }, () => " "));
  for (const level of levels) cells[rowOf(level)].fill("-");
  for (const [c, { low, high }] of seen.entries())
    for (let r = rowOf(high); r <= rowOf(low); r++) cells[r][c] = "*";
  const labels = [engineering(most, trace.unit), engineering(least, trace.unit)];
  const wide = Math.max(...labels.map((label) => label.length));
  const label = (r: number) => (r === 0 ? labels[0] : r === rows - 1 ? labels[1] : "");
  const drawn = cells.map((row, r) => `${label(r).padStart(wide)} |${row.join("").trimEnd()}`);
  const at = Math.floor((columns * (mark - first)) / (last - first));
  const marked = mark >= first && mark <= last ? `${" ".repeat(Math.min(at, columns - 1))}^` : "";
  const [begins, ends] = [engineering(first, "s"), engineering(last, "s")];
  const times = begins.padEnd(columns - ends.length) + ends;
  return [...drawn, `${" ".repeat(wide)} |${marked}`.trimEnd(), `${" ".repeat(wide)}  ${times}`];
}

/** The part of a stretch (s) around an instant in which a trace crosses its middle no more often than a plot can show. */
function around(trace: Trace, from: number, to: number, mark: number): [number, number] {
  if (!(from < to)) return [from, to];
  const { low, high } = traceBounds(trace, from, to);
  const through = crossings(trace, from, to, (low + high) / 2);
  if (through.length <= mostCrossings) return [from, to];
  const nearest = through.findIndex(({ time }) => time >= mark);
  const middle = nearest < 0 ? through.length : nearest;
  const first = Math.min(Math.max(0, middle - mostCrossings / 2), through.length - mostCrossings);
  return [through[first - 1]?.time ?? from, through[first + mostCrossings]?.time ?? to];
}
