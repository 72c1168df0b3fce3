// How far along the signal's way each net lies. A signal's net lies at 0; every part that is passed leads one further, two
// where parts hang on the net that is left, so that these have a column of their own.
import type { Net } from "./boxes.js";

/** What a part means to the way of the signal: from which nets it leads to which. */
export interface Step {
  readonly from: readonly Net[];
  readonly to: readonly Net[];
  /** True where it may be passed either way, as a resistor may. */
  readonly both: boolean;
}

/** The nets of a frame and what leads from one to the other. */
export interface Way {
  readonly nets: readonly Net[];
  /** Where signals come in. */
  readonly sources: readonly Net[];
  /** What constant sources and potentiometers between rails hold: they stand close to what they lead to. */
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
    // What a part looks at without a signal behind it, a bias, lies one before what it leads to.
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
  // Feedback: an input that nothing drives but its own output's way back stands beside the other inputs.
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

/** Carries levels on along the steps, the shortest way. */
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
