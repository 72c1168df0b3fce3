// A picture with the traces of several runs overlaid: one panel per trace, one curve for each value that was varied,
// dark for the smallest and light for the largest.
import { engineering } from "../base/quantity.js";
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
  return tracePicture(panels, { title, height: top + panels.length * height + bottom });
}
