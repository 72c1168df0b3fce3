// A picture with the traces of several runs overlaid: one panel per trace, one curve for each value that was varied,
// dark for the smallest and light for the largest. Where a run holds many periods, the last few of them stand before the whole of it.
import { engineering } from "../base/quantity.js";
import { crossings } from "../measures/crossing.js";
import type { TimeSpan } from "../measures/window.js";
import type { Variation } from "../variation/variation.js";
import type { Trace } from "../waveforms/trace.js";
import { inkAt } from "./inkscale.js";
import type { Panel } from "./panel.js";
import { tracePicture } from "./svg.js";

/** Height of a name beside a panel, px, and least height of a panel. */
const nameHeight = 16;
const least = 240;
/** Space above, between and below the panels, px. */
const [top, between, bottom] = [58, 28, 58];

/** Most curves in a panel: more would merge into a surface. */
const mostCurves = 40;

/** Periods in a close-up, and how many there are at least where there is one. */
const shownPeriods = 3;
const manyPeriods = 12;
/** It ends by this share of a period before the last fall. */
const before = 0.05;

/**
 * Draws the traces of a variation, the runs of each overlaid. Of more than 40 runs, 40 evenly chosen ones are drawn.
 * @throws RangeError if the variation kept no trace
 */
export function overlayPicture(v: Variation): string {
  const panels = v.traces.flatMap(({ name, runs }): Panel[] => {
    const all = runs.flatMap((trace, i) => (trace ? [{ trace, i }] : []));
    const each = Math.ceil(all.length / mostCurves);
    const shown = all.filter((_, k) => k % each === 0 || k === all.length - 1);
    const at = (i: number) => (v.points.length > 1 ? i / (v.points.length - 1) : 0);
    const traces: Trace[] = shown.map(({ trace }) => trace);
    return traces.length === 0 ? [] : [{ title: name, traces, inks: shown.map(({ i }) => inkAt(at(i))) }];
  });
  if (panels.length === 0) throw new RangeError("no run left a trace to draw");
  const curves = Math.max(...panels.map((p) => p.traces.length));
  const height = Math.max(least, nameHeight * curves + 20) + between;
  const { name, unit } = v.value;
  const span = `${engineering(v.points[0], unit)} to ${engineering(v.points.at(-1)!, unit)}`;
  const title = `${v.title}${v.case === "" ? "" : `: ${v.case}`}, ${name} ${span}`;
  const look = { title, height: top + panels.length * height + bottom };
  const close = closeUp(panels.flatMap(({ traces }) => traces));
  if (!close) return tracePicture(panels, look);
  const ends = panels.flatMap(({ traces }) => traces.map((t) => t.to));
  const whole = { title: "The whole runs", from: 0, to: Math.max(...ends), panels };
  return tracePicture([{ ...close, panels }, whole], look);
}

/** The last few periods of the fastest of many that some traces show; undefined where none shows many. */
function closeUp(traces: readonly Trace[]): (TimeSpan & { readonly title: string }) | undefined {
  let fastest: (TimeSpan & { readonly title: string }) | undefined;
  for (const trace of traces) {
    const [low, high] = trace.value.reduce(
      ([l, h], v) => [Math.min(l, v), Math.max(h, v)],
      [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY],
    );
    const falls = crossings(trace, trace.from, trace.to, (low + high) / 2)
      .filter(({ direction }) => direction === "falling")
      .map(({ time }) => time);
    if (falls.length <= manyPeriods) continue;
    // The names of curves stand at their ends, so a ramp should end at its top.
    const length = falls.at(-1)! - falls.at(-1 - shownPeriods)!;
    const to = falls.at(-1)! - (before * length) / shownPeriods;
    const from = to - length;
    if (fastest && length >= fastest.to - fastest.from) continue;
    fastest = { from, to, title: `The last periods, ${engineering(length / shownPeriods, "s")} each` };
  }
  return fastest;
}
