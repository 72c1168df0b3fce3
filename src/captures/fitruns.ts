// The runs that captures are fitted to: a design at other values, as the traces that the captures show. Values that make no sound
// design, or a run that stops, are no error while they are tried: they give no traces.
import { DesignError } from "../base/diagnostic.js";
import { decimal } from "../base/spacing.js";
import type { Design } from "../design/design.js";
import { caseLength, defaultLength } from "../design/length.js";
import { revalued } from "../design/revalue.js";
import type { Held } from "../instruments/held.js";
import { caseOf } from "../judging/goals.js";
import { caseNamed, type SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import type { Trace } from "../waveforms/trace.js";
import { along } from "./along.js";

/** A capture, the trace it shows, and the case. */
export interface FitCapture extends Held {
  /** The case that was captured; default: the design as drawn. */
  readonly case?: string;
}

/** What a capture shows of a run: the values at rising instants, each shifted. */
export type Curve = (time: Float64Array, shift: number) => Float64Array;

/** Sets of values whose traces are cached: the centre of a round, and steps to its sides. */
const mostKept = 4;

/** Runs of a design at other values, as traces by capture. */
export class FitRuns {
  /** How many there were. */
  count = 0;
  private readonly kept = new Map<string, readonly Trace[] | undefined>();

  constructor(
    private readonly design: Design,
    private readonly names: readonly string[],
    private readonly captures: readonly FitCapture[],
    private readonly how: SimulateOptions | undefined,
  ) {}

  /** The traces that the captures show, cached per set of values; undefined if a run stops or the values make no design. */
  at(values: readonly number[]): readonly Trace[] | undefined {
    const key = values.join(" ");
    if (!this.kept.has(key)) {
      const [oldest] = this.kept.keys();
      if (this.kept.size >= mostKept) this.kept.delete(oldest);
      this.kept.set(key, this.attempted(values));
    }
    return this.kept.get(key);
  }

  /** The same as curves. */
  curves(values: readonly number[]): readonly Curve[] | undefined {
    return this.at(values)?.map((trace) => (time, shift) => along(trace, time, shift));
  }

  private attempted(values: readonly number[]): readonly Trace[] | undefined {
    // A mistake in the design as it stands is thrown; at other values it only means that there are no traces.
    if (this.count === 0) return this.traces(values);
    try {
      return this.traces(values);
    } catch (error) {
      if (error instanceof DesignError) return undefined;
      throw error;
    }
  }

  private traces(values: readonly number[]): readonly Trace[] | undefined {
    const { captures, how } = this;
    const cases = captures.map((c) => caseNamed(this.design, c.case).caseName);
    const made = revalued(
      this.design,
      new Map(values.map((v, i) => [this.names[i], decimal(v)])),
      cases.filter((name) => name !== this.design.caseName),
    );
    const found: Trace[] = [];
    for (const name of new Set(cases)) {
      const one = caseOf(made, name);
      const drawn = name === made.caseName;
      const length = one.run.length ?? defaultLength(one);
      const run = simulate(one, { until: drawn ? length : caseLength(one, defaultLength(made)), ...how });
      this.count++;
      if (run.status === "stopped") return undefined;
      const own = captures.flatMap((_, k) => (cases[k] === name ? [k] : []));
      run.draw(own.map((k) => captures[k].of)).forEach((trace, i) => {
        found[own[i]] = trace;
      });
    }
    return found;
  }
}
