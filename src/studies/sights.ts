// The traces that checks look at, and no more of them.
// Takes a run and checks; gives the trace for each name. Always: what is drawn reaches over every span that a check asks for,
// the whole run where it asks for none, and all that is drawn over one span is drawn in one go. Where all checks of a trace
// look at the ends of their windows alone, nothing else is drawn.
import type { CheckSpec } from "../design/design.js";
import { findMeasure } from "../measures/measures.js";
import { beatOf } from "../simulation/beats.js";
import type { Run } from "../simulation/run.js";
import type { Trace } from "../waveforms/trace.js";
import { windowsOf } from "./windows.js";

/** A stretch of the run, s. */
interface Span {
  readonly from: number;
  readonly to: number;
}

/** Share of the run from which on a stretch of it is not worth keeping apart from the whole. */
const most = 0.8;
/** What is drawn on both sides of an instant, as a share of the run. */
const about = 1e-3;

/** The traces that checks look at, by name. */
export function tracesOf(run: Run, checks: readonly CheckSpec[]): (name: string) => Trace {
  const found = new Map<string, Trace>();
  if (run.recording.count > 0) {
    for (const [name, own] of briefly(run, checks)) {
      const instants = own.flatMap((check) => windowsOf(run, check).flatMap(({ from, to }) => [from, to]));
      const within = instants.filter((t) => t <= run.reached).sort((a, b) => a - b);
      if (within.length > 0) found.set(name, run.glimpses([name], within)[0]!);
    }
    const rest = checks.filter(({ target }) => !found.has(target));
    for (const { span, names } of groups(run, rest)) {
      const drawn = span ? run.stretch(names, span.from, span.to) : run.draw(names);
      for (const [i, name] of names.entries()) found.set(name, drawn[i]!);
    }
  }
  return (name) => found.get(name) ?? run.trace(name);
}

/** The checks of what is looked at by the ends of windows alone, by its name. */
function briefly(run: Run, checks: readonly CheckSpec[]): Map<string, CheckSpec[]> {
  const found = new Map<string, CheckSpec[]>();
  const others = new Set<string>();
  for (const check of checks) {
    const { target, each, measure } = check;
    const counted = each === undefined || beatOf(run.design, each) !== undefined;
    if (each !== undefined && !counted) others.add(each);
    const beside = outputOf(run, check);
    if (beside !== undefined) others.add(beside);
    if (counted && findMeasure(measure)?.looks === "ends")
      found.set(target, [...(found.get(target) ?? []), check]);
    else others.add(target);
  }
  for (const name of others) found.delete(name);
  return found;
}

/** Names by the stretch of them that is looked at; the whole run without one. */
function groups(run: Run, checks: readonly CheckSpec[]): { span?: Span; names: string[] }[] {
  const spans = new Map<string, Span>();
  const look = (name: string, { from, to }: Span) => {
    const known = spans.get(name) ?? { from, to };
    spans.set(name, { from: Math.min(known.from, from), to: Math.max(known.to, to) });
  };
  const whole = { from: 0, to: run.until };
  for (const check of checks) {
    const span = spanOf(run, check);
    look(check.target, span);
    const beside = outputOf(run, check);
    if (beside !== undefined) look(beside, span);
    // Where the periods of a place begin is read off all of it.
    if (check.each !== undefined && !beatOf(run.design, check.each)) look(check.each, whole);
  }
  const found = new Map<string, { span?: Span; names: string[] }>();
  for (const [name, span] of spans) {
    const part = span.to - span.from < most * run.until && span.to <= run.reached;
    const key = part ? `${span.from} ${span.to}` : "";
    const group = found.get(key) ?? { ...(part && { span }), names: [] };
    group.names.push(name);
    found.set(key, group);
  }
  return [...found.values()];
}

function spanOf({ until }: Run, { after, before, at, each, measure }: CheckSpec): Span {
  if (each === undefined && at !== undefined && findMeasure(measure)?.needs === "at")
    return { from: Math.max(0, at - about * until), to: Math.min(until, at + about * until) };
  return { from: after ?? 0, to: before ?? until };
}

/** The output of the part that a check looks at, for the measures that look at both. */
export function outputOf({ design }: Run, { measure, target }: CheckSpec): string | undefined {
  if (findMeasure(measure)?.beside !== "output") return undefined;
  const part = design.parts.find((p) => p.name === target.slice(0, target.lastIndexOf(".")));
  return part && design.places[part.head];
}
