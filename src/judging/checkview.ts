// How a check looks at a run: which traces it reads, over which time, and through which windows if it is asked of each period.
import { beatOf } from "../assembly/each.js";
import type { MeasureSpec } from "../design/design.js";
import type { Measure, Recurring, TimeSpan, Window } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import { PeriodWindows } from "./eachperiod.js";
import { type SpanPart, spanParts } from "./spanparts.js";

/** How much is drawn on either side of an instant, as a share of the run. */
const about = 1e-3;

/** A check on a run. */
export class CheckView {
  readonly measure: Measure;
  /** The output of the part that is measured, for measures that read it beside the target. */
  readonly output: string | undefined;
  /** The place whose periods are counted, if they are read off its trace; those of a signal are known beforehand. */
  readonly counted: string | undefined;
  private listed: PeriodWindows | undefined = undefined;
  private cut: readonly SpanPart[] | undefined = undefined;

  /** @param every true to look at every period, even though the run may repeat */
  constructor(
    private readonly run: Run,
    readonly check: MeasureSpec,
    private readonly every = false,
  ) {
    const { target, each } = check;
    const { design } = run;
    this.measure = check.measure;
    const part = design.parts.find((p) => p.name === target.slice(0, target.lastIndexOf(".")));
    this.output = this.measure.beside === "output" && part ? design.places[part.head] : undefined;
    this.counted = each !== undefined && !beatOf(design, each) ? each : undefined;
  }

  /** Whether a trace is measured. */
  measures(name: string): boolean {
    return name === this.check.target || name === this.output;
  }

  get windows(): PeriodWindows | undefined {
    const { each } = this.check;
    if (each !== undefined) this.listed ??= new PeriodWindows(this.run, this.check, each, this.every);
    return this.listed;
  }

  /** The span that is measured as a whole, in parts: one, unless the run repeats and the measure follows from what recurs. */
  get parts(): readonly SpanPart[] {
    this.cut ??= this.cutSpan();
    return this.cut;
  }

  private cutSpan(): readonly SpanPart[] {
    const { run, check, every, measure } = this;
    const { recording, assembly } = run;
    const { after = assembly.clock.time(recording.span().from), before = run.until } = check;
    const whole = { from: after, to: before };
    const asked = !every && measure.over !== undefined && before <= run.reached;
    return (asked && spanParts(run, whole)) || [{ ...whole, times: 1 }];
  }

  /** Whether it looks at a time that the run has not reached: then it has no value, and nothing need be drawn. */
  get beyond(): boolean {
    const { run, check, measure } = this;
    if (run.status === "complete") return false;
    const { at, before = run.until } = check;
    const last = measure.needs === "at" ? at : before;
    return check.each === undefined && last !== undefined && last > run.reached * (1 + 1e-12);
  }

  /** What is measured where no periods are asked for, as windows on traces. */
  whole(
    seen: (from?: number, to?: number) => Pick<Window, "trace" | "output" | "through">,
  ): readonly Recurring[] {
    const { parts, check } = this;
    const { at, after, before = this.run.until } = check;
    if (parts.length > 1)
      return parts.map(({ from, to, times }) => ({ window: { ...seen(from, to), from, to }, times }));
    const [span] = this.spans();
    const all = seen(span.from, span.to);
    return [{ window: { ...all, from: after ?? all.trace.from, to: before, at }, times: 1 }];
  }

  /** The time that is looked at: in a run that repeats, the first times and what follows. */
  spans(): TimeSpan[] {
    const { run, check } = this;
    const { after = 0, before = run.until, at, each } = check;
    if (each === undefined && at !== undefined && this.measure.needs === "at")
      return [{ from: Math.max(0, at - about * run.until), to: Math.min(run.until, at + about * run.until) }];
    const whole = { from: after, to: before };
    if (each === undefined && this.parts.length > 1) return apart(this.parts);
    if (each === undefined) return [whole];
    const { batches } = this.windows!;
    if (batches.length === 0) return [whole];
    return batches.map(({ from, to }, i) => ({
      from: i === 0 ? Math.min(from, after) : from,
      to: i === batches.length - 1 ? Math.max(to, before) : to,
    }));
  }
}

/** The stretches that cover parts of a span the first time each occurs. */
function apart(parts: readonly SpanPart[]): TimeSpan[] {
  const found: { from: number; to: number }[] = [];
  for (const { from, to } of parts) {
    const last = found.at(-1);
    if (last && last.to >= from) last.to = to;
    else found.push({ from, to });
  }
  return found;
}
