// How far along the signal path each net lies. Signals start at level 0, and each part on the way adds one, or two if parts hang on
// the net before it, so that these get a column of their own. What a net waits for lies before it, even where a shorter
// way leads there; only what would close a circle leads back.
import type { Net } from "./boxes.js";

/** What a part does to the signal path: from which nets it leads to which. */
export interface Step {
  readonly from: readonly Net[];
  readonly to: readonly Net[];
  /** True if it may be passed either way, like a resistor. */
  readonly both: boolean;
  /** True if it only acts on what it leads to, like the control of a switch. */
  readonly acts?: boolean;
}

/** The nets of a frame and the steps between them. */
export interface Way {
  readonly nets: readonly Net[];
  /** Where signals come in. */
  readonly sources: readonly Net[];
  /** Where they go out. */
  readonly sinks: readonly Net[];
  /** Nets held by constant sources and by potentiometers between rails: they stand close to what they lead to. */
  readonly biases: readonly Net[];
  readonly steps: readonly Step[];
  /** Nets on which parts hang. */
  readonly hung: ReadonlySet<Net>;
}

interface Arc {
  readonly from: Net;
  readonly to: Net;
  readonly both: boolean;
}

/** The level of every net that takes part, from -1 up. */
export function levelsOf(way: Way): Map<Net, number> {
  const { sources, biases, steps, hung } = way;
  const near = nearestLevels(way);
  const arcs = arcsOf(way, near);
  const level = longest(way, arcs);
  const width = (net: Net) => (hung.has(net) ? 2 : 1);
  // A bias stands just before what it leads to.
  for (const net of biases) {
    const beside = neighbours(steps, net).map((other) => level.get(other)!);
    if (beside.length > 0 && !sources.includes(net)) level.set(net, Math.max(0, Math.min(...beside) - 1));
  }
  // So does any other net to which nothing leads.
  const reached = new Set([...sources, ...biases, ...arcs.map(({ to }) => to)]);
  for (const net of way.nets) {
    if (reached.has(net)) continue;
    const ahead = arcs.filter(({ from }) => from === net).map(({ to }) => level.get(to)!);
    if (ahead.length > 0) level.set(net, Math.max(0, Math.min(...ahead) - width(net)));
  }
  // Feedback: an input driven by nothing but the way back from its own output stands beside the other inputs.
  const driven = new Set(steps.filter(({ both }) => !both).flatMap(({ to }) => to));
  for (const { from, to, both } of steps) {
    if (both) continue;
    const out = Math.min(...to.map((net) => level.get(net)!));
    for (const net of from)
      if (!driven.has(net) && !sources.includes(net) && level.get(net)! >= out)
        level.set(net, Math.max(-1, out - width(net)));
  }
  return level;
}

/** Nets that share a step with one. */
const neighbours = (steps: readonly Step[], net: Net): Net[] =>
  steps
    .filter(({ from, to }) => from.includes(net) || to.includes(net))
    .flatMap(({ from, to }) => [...from, ...to])
    .filter((other) => other !== net);

/** Levels by the shortest way from the sources; where there are none, by the shortest way to the sinks. */
export function nearestLevels({ nets, sources, sinks, steps, hung }: Way): Map<Net, number> {
  const level = new Map<Net, number>(sources.map((net) => [net, 0]));
  if (sources.length > 0 || sinks.length === 0) spread(level, steps, hung, false);
  else {
    for (const net of sinks) level.set(net, 0);
    spread(level, steps, hung, true);
    const most = Math.max(...level.values());
    for (const [net, back] of level) level.set(net, most - back);
  }
  for (const net of nets) {
    if (level.has(net)) continue;
    // An input with no signal behind it, a bias, lies one level before what it leads to.
    const ahead = steps
      .filter(({ from }) => from.includes(net))
      .flatMap(({ to }) => to.map((n) => level.get(n)));
    const known = ahead.filter((n) => n !== undefined);
    level.set(net, known.length > 0 ? Math.max(0, Math.min(...known) - 1) : 0);
    spread(level, steps, hung, false);
  }
  return level;
}

/** Propagates levels along the steps, or against them, by the shortest path. */
function spread(
  level: Map<Net, number>,
  steps: readonly Step[],
  hung: ReadonlySet<Net>,
  against: boolean,
): void {
  for (let changed = true; changed; ) {
    changed = false;
    const lead = (from: Net, to: Net) => {
      const [start, end] = against ? [to, from] : [from, to];
      const known = level.get(start);
      if (known === undefined || from === to) return;
      const next = known + (hung.has(from) ? 2 : 1);
      if (next >= (level.get(end) ?? Number.POSITIVE_INFINITY)) return;
      level.set(end, next);
      changed = true;
    };
    for (const { from, to, both } of steps)
      for (const a of from)
        for (const b of to) {
          lead(a, b);
          if (both) lead(b, a);
        }
  }
}

/** The steps as arcs without a circle: first those that lead onwards by the shortest way, then whatever else closes none. */
function arcsOf({ nets, sources, sinks, steps }: Way, near: ReadonlyMap<Net, number>): Arc[] {
  const arcs: Arc[] = [];
  const later: Arc[] = [];
  const joined = new Map(nets.map((net) => [net, neighbours(steps, net).length]));
  const between = (net: Net) => joined.get(net) === 2 && !sources.includes(net) && !sinks.includes(net);
  for (const { from, to, both, acts = false } of steps)
    for (const a of from)
      for (const b of to) {
        const way = near.get(b)! - near.get(a)!;
        if (a === b) continue;
        if (way > 0) arcs.push({ from: a, to: b, both });
        else if (both && way < 0) arcs.push({ from: b, to: a, both });
        // Of two as near as each other, the one that is only a station on the way lies first.
        else if (both && between(a) !== between(b))
          later.push(between(a) ? { from: a, to: b, both } : { from: b, to: a, both });
        else if (!both && !acts) later.push({ from: a, to: b, both });
      }
  const onward = new Map<Net, Net[]>();
  const add = ({ from, to }: Arc) => onward.set(from, [...(onward.get(from) ?? []), to]);
  for (const arc of arcs) add(arc);
  const leads = (from: Net, to: Net) => {
    const found = new Set([from]);
    for (const net of found) {
      if (net === to) return true;
      for (const next of onward.get(net) ?? []) found.add(next);
    }
    return false;
  };
  for (const arc of later) {
    if (sources.includes(arc.to) || leads(arc.to, arc.from)) continue;
    arcs.push(arc);
    add(arc);
  }
  return arcs;
}

/** Levels by the longest way along the arcs. */
function longest({ nets, hung }: Way, arcs: readonly Arc[]): Map<Net, number> {
  const level = new Map(nets.map((net) => [net, 0]));
  const missing = new Map(nets.map((net) => [net, 0]));
  const onward = new Map<Net, Net[]>();
  for (const { from, to } of arcs) {
    missing.set(to, missing.get(to)! + 1);
    onward.set(from, [...(onward.get(from) ?? []), to]);
  }
  const ready = nets.filter((net) => missing.get(net) === 0);
  for (const net of ready)
    for (const to of onward.get(net) ?? []) {
      level.set(to, Math.max(level.get(to)!, level.get(net)! + (hung.has(net) ? 2 : 1)));
      missing.set(to, missing.get(to)! - 1);
      if (missing.get(to) === 0) ready.push(to);
    }
  return level;
}
