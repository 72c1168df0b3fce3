// One run of a design, from its words to its waveforms: this page is the pipeline.

import { Assembly } from "../assembly/assemble.js";
import { handed } from "../base/handed.js";
import { atOnce, type Sliced } from "../base/slices.js";
import type { Design } from "../design/design.js";
import { traceAccuracy } from "../reading/accuracy.js";
import { probeOf } from "../reading/probe.js";
import { Recording } from "../reading/recording.js";
import { Run } from "../reading/result.js";
import {
  couldSettleOtherwise,
  couldStartOtherwise,
  edgesRounded,
  inBalance,
  inStep,
  lostInRounding,
  onBalance,
  warningsOf,
} from "../reading/warnings.js";
import { whyEnded } from "../stepping/ending.js";
import type { MarchOptions } from "../stepping/march.js";
import type { Ending } from "../stepping/sink.js";
import type { Imbalance } from "./departing.js";
import { refuseBeyondBytes, refuseBeyondLimits, refuseBeyondRoom } from "./foresight.js";
import { plan, type SimulateOptions } from "./options.js";
import { precharged } from "./precharge.js";
import { settledStart } from "./settled.js";
import { Stream } from "./stream.js";
import { stopwatch, watch } from "./supervision.js";

/**
 * Simulates a design. Synchronous and deterministic: same text, same options, same bits.
 * A run that cannot go on is not an error: it keeps what it has, with `status` and `reason`. While it runs, nothing else
 * does, so `signal` can be aborted from `progress` only; `limits.seconds` bounds its time, and `simulateAsync` hears any signal.
 *
 * @category Runs
 * @example
 * ```ts
 * const short = simulate(design, { until: "1 ms" });
 * short.status; // "complete"
 * engineering(short.trace("ramp").at(60e-6), "V"); // "3.709 V"
 * ```
 * @throws DesignError for options that make no sense
 */
export function simulate(design: Design, options: SimulateOptions = {}): Run {
  handed("design", design);
  return atOnce(marching(design, options));
}

/**
 * The same in slices.
 * @param rest asked every few steps; true where it should yield
 */
export function* marching(design: Design, options: SimulateOptions = {}, rest?: () => boolean): Sliced<Run> {
  const asked = plan(design, options);
  const since = stopwatch(options);
  const { until, step, start, steps, bytes, tolerance, repeats } = asked;
  yield;
  const begun = yield* precharged(asked, (clock) => watch(options, clock, since));
  yield;
  const assembly = Assembly.of(begun.design, until, step ? [step] : [], asked.algebra);
  yield;
  const { clock, system } = assembly;
  const method = asked.method ?? (step || system.sparse ? "mixed" : "leaps");
  const exact = method === "leaps";
  // Repeats are marched once, however often signals turn; a limit that is given is a budget, and is enforced on the way.
  const onTheWay = (repeats && exact && clock.exact) || options.limits?.steps !== undefined;
  const turns = options.limits?.steps === undefined ? steps : undefined;
  refuseBeyondLimits({ ...asked, steps: onTheWay ? undefined : steps, turns }, exact);
  refuseBeyondBytes(system, bytes);
  // A budget of time or room that is given ends the run, and so limits what is kept.
  if (!options.stream && options.limits?.bytes === undefined && options.limits?.seconds === undefined)
    refuseBeyondRoom(asked, system.states.length, exact);

  const from = asked.from ? clock.at(asked.from) : 0;
  const to = asked.to ? clock.at(asked.to) : clock.end;
  const recording = new Recording(system.states.length, { exact, from, to, bytes });
  const stream = options.stream && {
    ...options.stream,
    probes: options.stream.traces.map((name) => probeOf(asked.design, name).probe),
  };
  const sink = stream && new Stream(assembly, { ...stream, from, to, exact });
  let leaves: Imbalance | undefined;
  const warnings = [...edgesRounded(assembly), ...begun.warnings];
  const result = (ending: Ending, told: readonly string[] = []) =>
    new Run({
      design: asked.design,
      assembly,
      recording,
      ending,
      start: ending.restless.length > 0 && ending.turning.length === 0 ? "rest" : start,
      warnings: () => [
        ...warnings,
        ...couldStartOtherwise(ending),
        ...inStep(assembly, ending),
        ...told,
        ...(leaves ? [] : onBalance(assembly, recording)),
        ...lostInRounding(assembly, recording),
      ],
      within: Math.min(traceAccuracy, tolerance),
      mostPeriods: asked.periods,
    });

  // Setting up may have used up the budget, or the run may have been cancelled meanwhile.
  const over = watch(options, clock, since)(0, 0);
  if (over) return result(neverBegun(over, whyEnded(over)));
  const how = { method, tolerance, steps, rest };
  let begin: MarchOptions["start"];
  if (start === "settled") {
    const pause = watch(options, clock, since);
    const found = yield* settledStart(asked.design, { ...how, pause }, step, asked.algebra, assembly);
    if (!found.ok) return result(neverBegun(found.code, found.reason));
    begin = found.begin;
    warnings.push(...couldSettleOtherwise(asked.design, found.otherwise ?? []));
    leaves = found.leaves;
    if (leaves) warnings.push(inBalance(assembly, leaves));
  } else begin = start;

  const ending = yield* assembly
    .march(sink ?? recording, {
      ...how,
      step: step && clock.at(step),
      start: begin,
      pause: watch(options, clock, since, options.progress),
      repeats: { changes: sink ? [] : [from, to], marched: !repeats },
    })
    .going();
  sink?.flush();
  return result(ending, warningsOf(assembly, recording, ending));
}

function neverBegun(code: string, reason: string): Ending {
  return {
    status: "stopped",
    code,
    reason,
    reached: 0,
    steps: 0,
    rejected: 0,
    events: 0,
    ambiguous: () => [],
    alike: () => [],
    contradicted: [],
    unsteady: [],
    restless: [],
    turning: [],
    matrices: 0,
  };
}
