// What the interactive page shows of a run: panels over one time axis, from its start to its end, the periods that can be
// overlaid, the beam of each tube, and for each check the stretch that decided it. As fine as a picture needs.
import type { CheckSpec } from "../design/design.js";
import { CheckView } from "../judging/checkview.js";
import type { CheckResult } from "../judging/verify.js";
import type { TimeSpan } from "../measures/window.js";
import type { BeamFigures } from "../parts/contract.js";
import type { Run } from "../reading/result.js";
import { extremes } from "../waveforms/outline.js";
import { Trace } from "../waveforms/trace.js";
import { type Happening, happenings } from "./happenings.js";
import type { LimitZone } from "./limitzones.js";
import { shownFor, wholePanels } from "./selection.js";

/** One panel, titled with the name of its trace. */
export interface StackPanel {
  readonly trace: Trace;
  readonly limits: readonly LimitZone[];
  /** True for a trace that no check uses: available, but hidden until asked for. */
  readonly spare: boolean;
}

/** Periods to be overlaid: their starts, s. */
export interface StackPeriods {
  readonly name: string;
  readonly starts: Float64Array;
}

/** A tube: the names of the traces that move its beam, and their values at the edges of the screen. */
export interface StackBeam
  extends Pick<BeamFigures, "left" | "right" | "top" | "bottom" | "cutoff" | "full"> {
  readonly tube: string;
  readonly across: string;
  readonly down: string;
  readonly drive: string;
}

/** What decided a check: the stretch that was measured, s, and the instant in it, if there is one. */
export interface Decider {
  readonly panel: string;
  readonly from: number;
  readonly to: number;
  readonly at?: number;
}

/** Everything interactive of one run. */
export type Stack = KeptStack<StackPanel>;

/** The same with something else in place of each panel. */
export interface KeptStack<T> {
  readonly title: string;
  readonly from: number;
  readonly to: number;
  readonly panels: readonly T[];
  readonly periods: readonly StackPeriods[];
  /** What happens during the run. */
  readonly marks: readonly Happening[];
  readonly beams: readonly StackBeam[];
  /** One per check, in the order of the run's checks. */
  readonly deciders: readonly (Decider | undefined)[];
}

/** Most points of a trace; a longer one is kept as an outline with the true low and high in each of so many columns. */
const mostPoints = 1 << 20;
const columns = 1 << 17;

/** Most samples of a recording that are shown; a longer run is shown from its start as far as these reach. */
const mostSamples = 2_000_000;

/**
 * The stack of a run, keeping something of each panel in turn, since all curves of a long run at once take much memory; undefined if
 * the run has nothing to show.
 * @param results those of its checks
 * @param more further traces to show
 */
export function keptStack<T>(
  run: Run,
  title: string,
  results: readonly CheckResult[],
  keep: (panel: StackPanel) => T,
  more: readonly string[] = [],
): KeptStack<T> | undefined {
  const { count } = run.recording;
  if (count < 2 || !(run.reached > 0)) return undefined;
  const to = run.reached * Math.min(1, mostSamples / count);
  const beams = beamsOf(run);
  const shown = run.design.checks.map((check) => shownFor(run, check));
  const asked = new Set([...more, ...shown]);
  const spare = beams.flatMap(({ across, down, drive }) => [across, down, drive]);
  const deciders: (Decider | undefined)[] = shown.map(() => undefined);
  const panels = wholePanels(run, to, spare, more).map(({ title: name, limits }) => {
    const trace = thinned(run.sketch([name], 0, to)[0]);
    for (const [i, check] of run.design.checks.entries())
      if (shown[i] === name) deciders[i] = deciderOf(run, check, results[i], trace);
    return keep({ trace, limits, spare: spare.includes(name) && !asked.has(name) });
  });
  if (panels.length === 0) return undefined;
  const marks = happenings(run).filter(({ at }) => at <= to);
  return { title, from: 0, to, panels, periods: periodsWithin(run, { from: 0, to }), marks, beams, deciders };
}

function thinned(trace: Trace): Trace {
  if (trace.time.length <= mostPoints) return trace;
  const { time, value } = extremes(trace, trace.from, trace.to, columns);
  return time.length === 0 ? trace : new Trace({ name: trace.name, unit: trace.unit, time, value });
}

/** Periods that checks use, if there are any within a span. */
export function periodsWithin(run: Run, { from, to }: TimeSpan): StackPeriods[] {
  const names = [...new Set(run.design.checks.flatMap((c) => c.each ?? []))];
  return names.flatMap((name) => {
    const starts = run.periods(name).filter((t) => t >= from && t <= to);
    return starts.length > 2 ? [{ name, starts }] : [];
  });
}

/** The beams of the tubes of a run, unless a tube is faulted. */
export function beamsOf({ design }: Pick<Run, "design">): StackBeam[] {
  return design.parts.flatMap((part) => {
    const beam = part.kind.beam?.(part);
    if (!beam || part.fault === "open") return [];
    const { left, right, top, bottom, cutoff, full } = beam;
    const names = { across: design.places[beam.across], down: design.places[beam.down] };
    const drive = `${part.name}.voltage`;
    return [{ tube: part.name, ...names, drive, left, right, top, bottom, cutoff, full }];
  });
}

/** Where a check was decided. @param trace the shown trace, from the start */
export function deciderOf(
  run: Run,
  check: CheckSpec,
  result: CheckResult | undefined,
  trace: Trace,
): Decider | undefined {
  const { name } = trace;
  const { measure, at, after = 0, before = run.reached, through } = check;
  const window = result?.period === undefined ? { from: after, to: before, at } : worstOf(run, check, result);
  if (!window || !(window.from < window.to)) return undefined;
  const from = Math.max(window.from, trace.from);
  const to = Math.min(window.to, trace.to);
  if (!(from < to)) return undefined;
  // Measured again on the drawn trace, since the instant is sought on the same curve.
  const seen = { ...window, trace, from, to, through };
  const instant =
    measure.needs === "at"
      ? window.at
      : check.target === name && !measure.beside
        ? measure.when?.(seen, measure.take(seen))
        : undefined;
  const known = instant !== undefined && instant >= trace.from && instant <= trace.to;
  return { panel: name, from, to, ...(known && { at: instant }) };
}

/** The window of the deciding period. */
function worstOf(run: Run, check: CheckSpec, { period }: CheckResult) {
  const { windows } = new CheckView(run, check, true);
  for (let i = 0; windows && i < windows.count; i++) {
    const window = windows.window(i);
    if (window.begin === period) return window;
  }
  return undefined;
}
