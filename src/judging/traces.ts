// The traces that checks look at, and no more of them.
// Takes a run and checks; gives the trace for each name. Always: what is drawn reaches over every span that a check asks for,
// the whole run where it asks for none, and all that is drawn over one span is drawn in one go.

import { beatOf } from "../assembly/each.js";
import type { CheckSpec } from "../design/design.js";
import type { Run } from "../reading/result.js";
import type { Trace } from "../waveforms/trace.js";
import { type Look, patchesOf, type Span } from "./portions.js";
import { Windows } from "./windows.js";

/** Share of the run from which on a stretch of it is not worth keeping apart from the whole. */
const most = 0.8;
/** What is drawn on both sides of an instant, as a share of the run. */
const about = 1e-3;

/** The trace of a name that reaches over a stretch of the run (s), or over all that is looked at of it. */
export type Traces = (name: string, from?: number, to?: number) => Trace;

/** The traces that checks look at. */
export function tracesOf(run: Run, checks: readonly CheckSpec[]): Traces {
  const found = new Map<string, { readonly span: Span; readonly trace: Trace }[]>();
  if (run.recording.count > 0)
    for (const { span, part, names } of groups(run, checks)) {
      const keep = (name: string, trace: Trace) =>
        found.set(name, [...(found.get(name) ?? []), { span, trace }]);
      const whole: string[] = [];
      for (const name of names) {
        const looks = looksAt(run, checks, name);
        const patches = looks && patchesOf(run, looks, span);
        if (patches) keep(name, run.patches([name], patches)[0]);
        else whole.push(name);
      }
      const drawn = part ? run.stretch(whole, span.from, span.to) : run.draw(whole);
      for (const [i, name] of whole.entries()) keep(name, drawn[i]);
    }
  return (name, from = 0, to = run.until) => {
    const all = found.get(name) ?? [];
    // Where less is drawn than asked for, the run was stopped or not recorded before.
    const own = all.find(({ span }) => span.from <= from && span.to >= to) ?? (all.length === 1 && all[0]);
    return own ? own.trace : run.trace(name);
  };
}

/** What looks at a trace; undefined where also the periods of the place are read off it. */
function looksAt(run: Run, checks: readonly CheckSpec[], name: string): Look[] | undefined {
  if (checks.some(({ each }) => each === name && !beatOf(run.design, each))) return undefined;
  return checks
    .filter((check) => check.target === name || outputOf(run, check) === name)
    .map((check) => ({ check, measure: check.measure }));
}

/** Names by the stretch of them that is looked at, and whether that is a part of the run. */
function groups(run: Run, checks: readonly CheckSpec[]): { span: Span; part: boolean; names: string[] }[] {
  const spans = new Map<string, Span[]>();
  const look = (name: string, all: readonly Span[]) =>
    spans.set(name, all.reduce(joined, spans.get(name) ?? []));
  const whole = { from: 0, to: run.until };
  for (const check of checks) {
    const all = spansOf(run, check);
    look(check.target, all);
    const beside = outputOf(run, check);
    if (beside !== undefined) look(beside, all);
    // Where the periods of a place begins is read off all of it.
    if (check.each !== undefined && !beatOf(run.design, check.each)) look(check.each, [whole]);
  }
  const found = new Map<string, { span: Span; part: boolean; names: string[] }>();
  for (const [name, own] of spans)
    for (const span of own) {
      const part = span.to - span.from < most * run.until && span.to <= run.reached;
      const key = part ? `${span.from} ${span.to}` : "";
      const group = found.get(key) ?? { span: part ? span : whole, part, names: [] };
      group.names.push(name);
      found.set(key, group);
    }
  return [...found.values()];
}

/** Stretches with one more: what overlaps is one. */
function joined(all: readonly Span[], one: Span): Span[] {
  const [apart, touched] = [[] as Span[], [one]];
  for (const other of all) (other.to < one.from || other.from > one.to ? apart : touched).push(other);
  const from = Math.min(...touched.map((s) => s.from));
  const to = Math.max(...touched.map((s) => s.to));
  return [...apart, { from, to }];
}

/** What a check looks at: of a run that repeats the first times and what comes behind. */
function spansOf(run: Run, check: CheckSpec): Span[] {
  const span = spanOf(run, check);
  if (check.each === undefined || run.recording.repetitions.length === 0) return [span];
  if (!beatOf(run.design, check.each)) return [span];
  const { rows } = new Windows(run, check, check.each);
  if (rows.length === 0) return [span];
  return rows.map(({ from, to }, i) => ({
    from: i === 0 ? Math.min(from, span.from) : from,
    to: i === rows.length - 1 ? Math.max(to, span.to) : to,
  }));
}

function spanOf({ until }: Run, { after, before, at, each, measure }: CheckSpec): Span {
  if (each === undefined && at !== undefined && measure.needs === "at")
    return { from: Math.max(0, at - about * until), to: Math.min(until, at + about * until) };
  return { from: after ?? 0, to: before ?? until };
}

/** The output of the part that a check looks at, for the measures that look at both. */
export function outputOf({ design }: Run, { measure, target }: CheckSpec): string | undefined {
  if (measure.beside !== "output") return undefined;
  const part = design.parts.find((p) => p.name === target.slice(0, target.lastIndexOf(".")));
  return part && design.places[part.head];
}
