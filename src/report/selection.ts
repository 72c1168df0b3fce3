// What of a run is worth a picture: for each signal whose periods the checks look at, a few of its periods with the signal, what was
// checked, and the limits; for a case that changes something on the way, the whole run and what happens around the change. The
// finest time scale comes first.

import { beatOf } from "../assembly/each.js";
import { toNumber } from "../base/fraction.js";
import { engineering } from "../base/quantity.js";
import type { CheckSpec } from "../design/design.js";
import { probeOf } from "../reading/probe.js";
import type { Run } from "../reading/result.js";
import type { LimitZone } from "./limitzones.js";
import type { Panel } from "./panel.js";
import type { PanelGroup } from "./svg.js";

/** Periods shown of a signal. */
const shown = 3;
/** Periods that differ by less than this factor are shown as one scale: a line, and the half lines of its pulses. */
const like = 8;
/** Panels at most in a group. */
const mostPanels = 5;

/**
 * Groups of panels for a run; empty where the run has nothing to show.
 * @param more traces to be shown in each group besides
 */
export function panelGroups(run: Run, more: readonly string[] = []): PanelGroup[] {
  if (run.recording.count < 2 || !(run.reached > 0)) return [];
  return grouped(run).map((group) => {
    const added = more.filter((name) => !group.panels.some(({ title }) => title === name));
    return { ...group, panels: [...group.panels, ...panelsOf(run, [], group.from, group.to, added)] };
  });
}

function grouped(run: Run): PanelGroup[] {
  const { checks } = run.design;
  run.draw(countedPlaces(run));
  const periodic = scales(run).flatMap((names) => periodGroup(run, names));
  const rest = checks.filter((c) => c.each === undefined);
  const moments = changes(run);
  if (moments.length === 0 && (periodic.length > 0 || rest.length === 0)) {
    return periodic.length > 0 ? periodic : whole(run, checks);
  }
  return [...around(run, moments, checks), ...whole(run, checks)];
}

/** Places that checks count by: their periods are read off their traces, so these are needed from start to end. */
export function countedPlaces({ design }: Run): string[] {
  return design.checks.flatMap(({ each }) => (each === undefined || beatOf(design, each) ? [] : [each]));
}

/** What the checks count by, gathered by like periods, the shortest first; of each gathering the signals come first. */
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

/** A few periods of the first name, with everything that is checked by any of them. */
function periodGroup(run: Run, names: readonly string[]): PanelGroup[] {
  const name = names[0];
  const starts = run.periods(name);
  // Of video the middle of the run: it begins in the blanking of the field, where there is no picture.
  const film = beatOf(run.design, name)?.signal.wave?.shape.kind === "packed";
  const first = film ? Math.floor(Math.max(0, starts.length - 1 - shown) / 2) : 0;
  const from = starts[first];
  const to = starts[Math.min(first + shown, starts.length - 1)];
  const asked = run.design.checks.filter((c) => c.each !== undefined && names.includes(c.each));
  const period = engineering((to - from) / Math.min(shown, starts.length - 1 - first), "s");
  const panels = panelsOf(run, asked, from, to, [shownOf(run, name)]).slice(0, mostPanels);
  return [{ title: `Periods of ${name}, ${period} each`, from, to, panels }];
}

/** What is drawn of what a check counts by. */
function shownOf(run: Run, name: string): string {
  return beatOf(run.design, name)?.signal.name ?? name;
}

/** A panel for each signal that is counted by, for all that is checked and for what is spare, from the start to an instant. */
export function wholePanels(
  run: Run,
  to: number,
  spare: readonly string[],
  more: readonly string[] = [],
): Panel[] {
  const { checks, places } = run.design;
  const signals = new Set(checks.flatMap(({ each }) => (each === undefined ? [] : [shownOf(run, each)])));
  const plain = checks.length === 0 && spare.length === 0 ? places.slice(1, mostPanels + 1) : [];
  const panels = panelsOf(run, checks, 0, to, [...signals, ...plain, ...more, ...spare]);
  // What is spare stands last, unless it is checked.
  const asked = new Set([...signals, ...more, ...checks.map((c) => shownFor(run, c))]);
  const rank = ({ title }: Panel) => (spare.includes(title) && !asked.has(title) ? 1 : 0);
  return [...panels].sort((a, b) => rank(a) - rank(b));
}

function whole(run: Run, checks: readonly CheckSpec[]): PanelGroup[] {
  const panels = panelsOf(run, checks, 0, run.reached);
  const { places } = run.design;
  const plain = () => run.draw(places.slice(1, mostPanels + 1)).map((t) => ({ title: t.name, traces: [t] }));
  const all = panels.length > 0 ? panels : plain();
  return all.length === 0
    ? []
    : [{ title: "The whole run", from: 0, to: run.reached, panels: all.slice(0, mostPanels) }];
}

/** A few of the fastest periods before and after the first change. */
function around(run: Run, moments: readonly number[], checks: readonly CheckSpec[]): PanelGroup[] {
  const periods = run.design.parts.flatMap((p) => {
    const shape = p.wave?.shape;
    return shape?.kind === "segments" && shape.period ? [toNumber(shape.period)] : [];
  });
  const moment = moments[0];
  if (moment === undefined || periods.length === 0) return [];
  const step = Math.min(...periods);
  const from = Math.max(0, moment - 3 * step);
  const to = Math.min(run.reached, moment + 3 * step);
  if (!(to > from)) return [];
  const mark = [{ at: moment, label: "change" }];
  const panels = panelsOf(run, checks, from, to).map((p) => ({ ...p, marks: mark }));
  if (panels.length === 0) return [];
  return [{ title: "Around the change", from, to, panels: panels.slice(0, mostPanels) }];
}

/** Instants at which sources start or stop, s. */
function changes(run: Run): number[] {
  const all = run.design.parts.flatMap((p) => [p.wave?.starts, p.wave?.stops]);
  const times = all.flatMap((t) => (t ? [toNumber(t)] : []));
  return [...new Set(times)].filter((t) => t > 0 && t < run.reached).sort((a, b) => a - b);
}

/** One panel for each thing that was checked, with those of its limits that hold somewhere in the span; `first` go first. */
function panelsOf(
  run: Run,
  checks: readonly CheckSpec[],
  from: number,
  to: number,
  first: readonly string[] = [],
): Panel[] {
  const targets = [...new Set([...first, ...checks.map((c) => shownFor(run, c))])];
  // All in one go, since the run is played for it.
  const traces = new Map(run.sketch(targets, from, to).map((trace) => [trace.name, trace]));
  return targets.map((target) => {
    const limits = checks
      .filter((c) => shownFor(run, c) === target && c.measure.level)
      .filter((c) => (c.after ?? 0) < to && (c.before ?? Number.POSITIVE_INFINITY) > from)
      .map(
        (c): LimitZone => ({
          ...c.limit,
          from: c.after,
          to: c.before,
          label: `${c.name}: ${boundsText(c)}`,
        }),
      );
    return { title: target, traces: [traces.get(target)!], limits };
  });
}

/** What to show for a check: what it looks at, or the output whose clipping it asks about. */
export function shownFor({ design }: Run, { target }: CheckSpec): string {
  const { probe } = probeOf(design, target);
  return probe.type === "clipping" ? design.places[design.parts[probe.part].head] : target;
}

function boundsText({ limit: { low, high }, unit }: CheckSpec): string {
  const text = (v: number) => engineering(v, unit, 3);
  if (low !== undefined && high !== undefined) return `${text(low)} to ${text(high)}`;
  return high !== undefined ? `below ${text(high)}` : `above ${text(low ?? 0)}`;
}
