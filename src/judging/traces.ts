// Only the traces that checks read. Those of one stretch of the run are drawn together.

import type { TimeSpan } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import type { Trace } from "../waveforms/trace.js";
import type { CheckView } from "./checkview.js";
import { patchesOf } from "./patches.js";

/** From this share of the run on a stretch is not drawn apart from the whole. */
const most = 0.8;

/** The trace of a name that covers a stretch of the run (s), or all that is read of it. */
export type Traces = (name: string, from?: number, to?: number) => Trace;

/** The traces that checks read: each covers every span that is asked for. */
export function tracesOf(run: Run, views: readonly CheckView[]): Traces {
  const found = new Map<string, { readonly span: TimeSpan; readonly trace: Trace }[]>();
  const keep = (name: string, span: TimeSpan, trace: Trace) =>
    found.set(name, [...(found.get(name) ?? []), { span, trace }]);
  for (const { span, part, names } of groups(run, views)) {
    const whole: string[] = [];
    for (const name of names) {
      // Where periods of a place are read off its trace as well, all of it is needed.
      const patches = views.every((view) => view.counted !== name)
        ? patchesOf(
            run,
            views.filter((view) => view.measures(name)),
            span,
          )
        : undefined;
      const windows = patches ? undefined : windowsOf(views, name);
      if (patches) keep(name, span, run.patches([name], patches)[0]);
      else if (windows) keep(name, span, run.outermost(name, windows, part ? span : undefined));
      else whole.push(name);
    }
    const drawn = part ? run.stretch(whole, span.from, span.to) : run.draw(whole);
    for (const [i, name] of whole.entries()) keep(name, span, drawn[i]);
  }
  return (name, from = 0, to = run.until) => {
    const all = found.get(name) ?? [];
    // Where less is drawn than asked for, the run was stopped, or its start was not recorded.
    const own = all.find(({ span }) => span.from <= from && span.to >= to) ?? (all.length === 1 && all[0]);
    return own ? own.trace : run.trace(name);
  };
}

/** The windows in which one check looks at the lowest and highest value of a trace; undefined where others look at more of it. */
function windowsOf(views: readonly CheckView[], name: string): (() => readonly TimeSpan[]) | undefined {
  const [view, other] = views.filter((one) => one.measures(name) || one.counted === name);
  if (other || view.counted === name || view.output === name || view.measure.looks !== "extremes")
    return undefined;
  return () => {
    const { windows } = view;
    if (!windows) return view.parts;
    return windows.batches.flatMap(({ first, end }) =>
      Array.from({ length: end - first }, (_, k) => windows.window(first + k)),
    );
  };
}

/** Names by the stretch of them that is looked at, and whether that is a part of the run. */
function groups(
  run: Run,
  views: readonly CheckView[],
): Iterable<{ span: TimeSpan; part: boolean; names: string[] }> {
  const spans = new Map<string, TimeSpan[]>();
  const look = (name: string | undefined, all: readonly TimeSpan[]) =>
    name !== undefined && spans.set(name, all.reduce(joined, spans.get(name) ?? []));
  const whole = { from: 0, to: run.until };
  for (const view of views) {
    const all = view.spans();
    look(view.check.target, all);
    look(view.output, all);
    look(view.counted, [whole]);
  }
  const found = new Map<string, { span: TimeSpan; part: boolean; names: string[] }>();
  for (const [name, own] of spans)
    for (const span of own) {
      const part = span.to - span.from < most * run.until && span.to <= run.reached;
      const key = part ? `${span.from} ${span.to}` : "";
      const group = found.get(key) ?? { span: part ? span : whole, part, names: [] };
      group.names.push(name);
      found.set(key, group);
    }
  return found.values();
}

/** Adds a stretch; those that overlap become one. */
function joined(all: readonly TimeSpan[], one: TimeSpan): TimeSpan[] {
  const [apart, touched] = [[] as TimeSpan[], [one]];
  for (const other of all) (other.to < one.from || other.from > one.to ? apart : touched).push(other);
  const from = Math.min(...touched.map((s) => s.from));
  const to = Math.max(...touched.map((s) => s.to));
  return [...apart, { from, to }];
}
