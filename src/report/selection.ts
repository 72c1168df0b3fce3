// What to picture of a run. For each signal whose periods the checks use: a few of its periods with the signal, the checked
// traces and the limits. For a case that changes something during the run: the whole run, and the time around the change. The
// shortest time scale comes first.

import { beatOf } from "../assembly/each.js";
import { engineering } from "../base/quantity.js";
import type { CheckSpec } from "../design/design.js";
import type { CheckResult } from "../judging/verify.js";
import type { TimeSpan } from "../measures/window.js";
import { probeOf } from "../reading/probe.js";
import type { Run } from "../reading/result.js";
import { dimensionsOf } from "./dimensions.js";
import { fastest, type Happening, happenings } from "./happenings.js";
import type { LimitZone } from "./limitzones.js";
import type { Panel } from "./panel.js";
import type { PanelGroup } from "./svg.js";

/** Periods of a signal in a picture. */
const shown = 3;
/** Periods that differ by less than this factor share one scale: a line, and the half lines of its pulses. */
const like = 8;
/** Most groups of one sort. */
const mostShown = 2;
/** Most panels in a group. */
const mostPanels = 5;

/**
 * Groups of panels for a run; empty if the run has nothing to show.
 * @param more traces to add to each group
 * @param results those of its checks; if given, the worst periods of failing checks are shown too
 */
export function panelGroups(
  run: Run,
  more: readonly string[] = [],
  results: readonly CheckResult[] = [],
): PanelGroup[] {
  if (run.recording.count < 2 || !(run.reached > 0)) return [];
  const usual = grouped(run);
  return [...usual, ...worstPeriods(run, results, usual)].map((group) => {
    const added = more.filter((name) => !group.panels.some(({ title }) => title === name));
    const panels = [...group.panels, ...drawnPanels(run, [], added, group)];
    return { ...group, panels: panels.map((panel) => measuredOn(run, panel, group, results)) };
  });
}

/** A panel with the measures of its trace in the time it shows. */
function measuredOn(run: Run, panel: Panel, shown: TimeSpan, results: readonly CheckResult[]): Panel {
  const dimensions = dimensionsOf(run, results, panel.traces[0], shown);
  return dimensions.length === 0 ? panel : { ...panel, dimensions };
}

function grouped(run: Run): PanelGroup[] {
  const { checks } = run.design;
  run.draw(countedPlaces(run));
  const periodic = scales(run).flatMap((names) => periodGroup(run, names));
  const rest = checks.filter((c) => c.each === undefined);
  const moments = happenings(run);
  if (moments.length === 0 && (periodic.length > 0 || rest.length === 0)) {
    return periodic.length > 0 ? periodic : whole(run, checks);
  }
  // A picture of most of the run beside one of all of it shows nothing more.
  const close = around(run, moments, checks).filter(({ from, to }) => 2 * (to - from) < run.reached);
  const marks = close.length > 0 ? unnamed(moments) : moments;
  return [
    ...close,
    ...whole(run, checks).map((group) => ({ ...group, panels: marked(group.panels, marks) })),
  ];
}

/** Places whose periods the checks use: these are read from their traces, which are therefore needed from start to end. */
export function countedPlaces({ design }: Run): string[] {
  return design.checks.flatMap(({ each }) => (each === undefined || beatOf(design, each) ? [] : [each]));
}

/** The names whose periods the checks use, grouped by similar periods, the shortest first; signals first in each group. */
function scales(run: Run): string[][] {
  const names = [...new Set(run.design.checks.flatMap((c) => c.each ?? []))];
  const timed = names.flatMap((name) => {
    const starts = run.periods(name);
    const count = starts.length - 1;
    return count > 0 ? [{ name, period: (starts[count] - starts[0]) / count }] : [];
  });
  timed.sort((a, b) => a.period - b.period);
  const gathered: (typeof timed)[] = [];
  for (const one of timed) {
    const last = gathered.at(-1);
    if (last && one.period < like * last[0].period) last.push(one);
    else gathered.push([one]);
  }
  const rank = (name: string) => (beatOf(run.design, name) ? 0 : 1);
  return gathered.map((all) =>
    all.sort((a, b) => rank(a.name) - rank(b.name) || b.period - a.period).map(({ name }) => name),
  );
}

/** A few periods of the first name, with everything that is checked per period of any of them. */
function periodGroup(run: Run, names: readonly string[]): PanelGroup[] {
  const name = names[0];
  const starts = run.periods(name);
  // Video is shown from the middle of the run, as it begins in field blanking, without a picture.
  const film = beatOf(run.design, name)?.signal.wave?.shape.kind === "packed";
  const first = film ? Math.floor(Math.max(0, starts.length - 1 - shown) / 2) : 0;
  const from = starts[first];
  const to = starts[Math.min(first + shown, starts.length - 1)];
  const asked = run.design.checks.filter((c) => c.each !== undefined && names.includes(c.each));
  const period = engineering((to - from) / Math.min(shown, starts.length - 1 - first), "s");
  const panels = panelsOf(run, asked, from, to, [shownOf(run, name)]);
  return [{ title: `Periods of ${name}, ${period} each`, from, to, panels }];
}

/** The trace to draw for a name whose periods checks use. */
function shownOf(run: Run, name: string): string {
  return beatOf(run.design, name)?.signal.name ?? name;
}

/** A panel that is still to be drawn. */
export interface PlannedPanel {
  readonly title: string;
  readonly limits: readonly LimitZone[];
}

/**
 * A panel for each signal whose periods checks use, for everything that is checked, and for the spare traces, from the start to
 * an instant. Only planned, not drawn, since the curves of a long run take much memory.
 */
export function wholePanels(
  run: Run,
  to: number,
  spare: readonly string[],
  more: readonly string[] = [],
): PlannedPanel[] {
  const { checks, places } = run.design;
  const signals = new Set(checks.flatMap(({ each }) => (each === undefined ? [] : [shownOf(run, each)])));
  const plain = checks.length === 0 && spare.length === 0 ? places.slice(1, mostPanels + 1) : [];
  const panels = targetsOf(run, checks, [...signals, ...plain, ...more, ...spare]).map((title) => ({
    title,
    limits: limitsOf(run, checks, title, { from: 0, to }),
  }));
  // Spare traces come last, unless they are checked.
  const asked = new Set([...signals, ...more, ...checks.map((c) => shownFor(run, c))]);
  const rank = ({ title }: PlannedPanel) => (spare.includes(title) && !asked.has(title) ? 1 : 0);
  return [...panels].sort((a, b) => rank(a) - rank(b));
}

function whole(run: Run, checks: readonly CheckSpec[]): PanelGroup[] {
  const panels = panelsOf(run, checks, 0, run.reached);
  const { places } = run.design;
  const plain = () => run.draw(places.slice(1, mostPanels + 1)).map((t) => ({ title: t.name, traces: [t] }));
  const all = panels.length > 0 ? panels : plain();
  return all.length === 0 ? [] : [{ title: "The whole run", from: 0, to: run.reached, panels: all }];
}

/** Each event of a run, with a few of the fastest periods before and after it. */
function around(run: Run, happened: readonly Happening[], checks: readonly CheckSpec[]): PanelGroup[] {
  const step = fastest(run.design);
  if (step === undefined) return [];
  return happened.slice(0, mostShown).flatMap(({ at, label }) => {
    const from = Math.max(0, at - 3 * step);
    const to = Math.min(run.reached, at + 3 * step);
    if (!(to > from)) return [];
    const panels = marked(panelsOf(run, checks, from, to), happened).slice(0, mostPanels);
    return panels.length === 0 ? [] : [{ title: `${label} at ${engineering(at, "s")}`, from, to, panels }];
  });
}

/** Several names of marks over a whole run would overlap; the groups beside it have them as titles. */
const unnamed = (marks: readonly Happening[]) =>
  marks.length < 2 ? marks : marks.map(({ at }) => ({ at, label: "" }));

const marked = (panels: readonly Panel[], marks: readonly Happening[]): Panel[] =>
  panels.map((panel) => ({ ...panel, marks }));

/** The deciding period of each failing check, with a little of its neighbours, unless a group shows it already. */
function worstPeriods(run: Run, results: readonly CheckResult[], seen: readonly PanelGroup[]): PanelGroup[] {
  const found: PanelGroup[] = [];
  for (const [i, { pass, period }] of results.entries()) {
    const check = run.design.checks[i];
    if (pass || period === undefined || check?.each === undefined || found.length >= mostShown) continue;
    const end = run.periods(check.each).find((t) => t > period) ?? run.reached;
    const span = { from: period, to: end };
    if (!(end > period) || [...seen, ...found].some((group) => showsWell(group, span))) continue;
    found.push(decisiveGroup(run, results, i, span));
  }
  return found;
}

/** Whether a group shows all of a stretch, at a scale at which it can still be seen. */
export function showsWell(group: TimeSpan, { from, to }: TimeSpan): boolean {
  return group.from <= from && group.to >= to && group.to - group.from < 10 * (to - from);
}

/** The stretch that decided a check, with a little of its neighbours, and the other failing checks per the same period. */
export function decisiveGroup(
  run: Run,
  results: readonly CheckResult[],
  index: number,
  { from, to }: TimeSpan,
): PanelGroup {
  const check = run.design.checks[index];
  const { each, name } = check;
  const air = 0.15 * (to - from);
  const shown = { from: Math.max(0, from - air), to: Math.min(run.reached, to + air) };
  const also = run.design.checks.filter(
    (c, k) => c === check || (c.each === each && results[k]?.pass === false),
  );
  const first = each === undefined ? [] : [shownOf(run, each)];
  const panels = panelsOf(run, also, shown.from, shown.to, [...first, shownFor(run, check)]);
  const which = each === undefined ? `What decided "${name}"` : `Worst of "${name}"`;
  return { title: `${which}, from ${engineering(from, "s", 5)}`, ...shown, panels };
}

/** One panel for each trace that was checked, as many as fit; those in `first` come first. */
function panelsOf(
  run: Run,
  checks: readonly CheckSpec[],
  from: number,
  to: number,
  first: readonly string[] = [],
): Panel[] {
  return drawnPanels(run, checks, targetsOf(run, checks, first).slice(0, mostPanels), { from, to });
}

function drawnPanels(
  run: Run,
  checks: readonly CheckSpec[],
  targets: readonly string[],
  { from, to }: TimeSpan,
): Panel[] {
  const traces = new Map(run.sketch(targets, from, to).map((trace) => [trace.name, trace]));
  return targets.map((target) => {
    const limits = limitsOf(run, checks, target, { from, to });
    return { title: target, traces: [traces.get(target)!], limits };
  });
}

/** What some names and checks show, each once. */
function targetsOf(run: Run, checks: readonly CheckSpec[], first: readonly string[]): string[] {
  return [...new Set([...first, ...checks.map((c) => shownFor(run, c))])];
}

/** The limits on a trace that apply somewhere in a span. */
function limitsOf(
  run: Run,
  checks: readonly CheckSpec[],
  target: string,
  { from, to }: TimeSpan,
): LimitZone[] {
  return checks
    .filter((c) => shownFor(run, c) === target && c.measure.level)
    .filter((c) => (c.after ?? 0) < to && (c.before ?? Number.POSITIVE_INFINITY) > from)
    .map((c) => ({
      ...c.limit,
      from: c.after,
      to: c.before,
      label: `${c.name}: ${boundsText(c)}`,
    }));
}

/** The trace to show for a check: its target, or the output whose clipping it asks about. */
export function shownFor({ design }: Run, { target }: CheckSpec): string {
  const { probe } = probeOf(design, target);
  return probe.type === "clipping" ? design.places[design.parts[probe.part].head] : target;
}

function boundsText({ limit: { low, high }, unit }: CheckSpec): string {
  const text = (v: number) => engineering(v, unit, 3);
  if (low !== undefined && high !== undefined) return `${text(low)} to ${text(high)}`;
  return high !== undefined ? `below ${text(high)}` : `above ${text(low ?? 0)}`;
}
