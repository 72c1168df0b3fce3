// How far along the signal path each net lies. A signal's net is at level 0; each part on the way adds one, or two if parts hang
// on the net before it, so that these get a column of their own.
import type { Net } from "./boxes.js";

/** What a part does to the signal path: from which nets it leads to which. */
export interface Step {
  readonly from: readonly Net[];
  readonly to: readonly Net[];
  /** True if it may be passed either way, like a resistor. */
  readonly both: boolean;
}

/** The nets of a frame and the steps between them. */
export interface Way {
  readonly nets: readonly Net[];
  /** Where signals come in. */
  readonly sources: readonly Net[];
  /** Nets held by constant sources and by potentiometers between rails: they stand close to what they lead to. */
  readonly biases: readonly Net[];
  readonly steps: readonly Step[];
  /** Nets on which parts hang. */
  readonly hung: ReadonlySet<Net>;
}

/** The level of every net that takes part, from 0 up. */
export function levelsOf({ nets, sources, biases, steps, hung }: Way): Map<Net, number> {
  const level = new Map<Net, number>(sources.map((net) => [net, 0]));
  spread(level, steps, hung);
  for (const net of nets) {
    if (level.has(net)) continue;
    // An input with no signal behind it, a bias, lies one level before what it leads to.
    const ahead = steps
      .filter(({ from }) => from.includes(net))
      .flatMap(({ to }) => to.map((n) => level.get(n)));
    const known = ahead.filter((n) => n !== undefined);
    level.set(net, known.length > 0 ? Math.max(0, Math.min(...known) - 1) : 0);
    spread(level, steps, hung);
  }
  for (const net of biases) {
    const beside = steps
      .filter(({ from, to }) => from.includes(net) || to.includes(net))
      .flatMap(({ from, to }) => [...from, ...to])
      .filter((other) => other !== net)
      .map((other) => level.get(other)!);
    if (beside.length > 0 && !sources.includes(net)) level.set(net, Math.max(0, Math.min(...beside) - 1));
  }
  // Feedback: an input driven by nothing but the way back from its own output stands beside the other inputs.
  const driven = new Set(steps.filter(({ both }) => !both).flatMap(({ to }) => to));
  for (const { from, to, both } of steps) {
    if (both) continue;
    const out = Math.min(...to.map((net) => level.get(net)!));
    for (const net of from)
      if (!driven.has(net) && !sources.includes(net) && level.get(net)! >= out)
        level.set(net, Math.max(0, out - 1));
  }
  return level;
}

/** Propagates levels along the steps, by the shortest path. */
function spread(level: Map<Net, number>, steps: readonly Step[], hung: ReadonlySet<Net>): void {
  for (let changed = true; changed; ) {
    changed = false;
    const lead = (from: Net, to: Net) => {
      const start = level.get(from);
      if (start === undefined || from === to) return;
      const next = start + (hung.has(from) ? 2 : 1);
      if (next >= (level.get(to) ?? Number.POSITIVE_INFINITY)) return;
      level.set(to, next);
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
