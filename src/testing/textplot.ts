// A trace as a small plot in text, for messages that cannot hold a picture.
import { engineering } from "../base/quantity.js";
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

/** Lines of text: the trace as `*`, levels as `-`, the instant as `^`. Empty if the trace has nothing in the stretch. */
export function textPlot(trace: Trace, { from, to, levels, mark }: PlotOptions): string[] {
  const [first, last] = [Math.max(from, trace.from), Math.min(to, trace.to)];
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
