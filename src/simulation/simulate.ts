// One run of a design, from its words to its waveforms: this page is the pipeline.

import { Assembly } from "../assembly/assemble.js";
import { refuseOption } from "../base/asked.js";
import type { Design } from "../design/design.js";
import { traceAccuracy } from "../reading/accuracy.js";
import { probeOf } from "../reading/probe.js";
import { Recording } from "../reading/recording.js";
import { Run } from "../reading/result.js";
import { contradictionText, doubtful, letGo, remarks } from "../reading/warnings.js";
import { whyEnded } from "../stepping/ending.js";
import { March, type MarchOptions, type Method } from "../stepping/march.js";
import type { Ending } from "../stepping/sink.js";
import { refuseBeyondLimits } from "./budget.js";
import { plan, type SimulateOptions } from "./options.js";
import { precharged } from "./precharge.js";
import { settledStart } from "./settled.js";
import { Stream } from "./stream.js";
import { stopwatch, watch } from "./supervision.js";

/**
 * Simulates a design. Synchronous and deterministic: same text, same options, same bits.
 * A run that cannot go on is not an error: it keeps what it has, with `status` and `reason`.
 * @throws DesignError for options that make no sense
 */
export function simulate(design: Design, options: SimulateOptions = {}): Run {
  const since = stopwatch(options);
  const { design: drawn, until, step, start, repeats, method: asked, ...limited } = plan(design, options);
  const { design: begun, warning } =
    start === "steady"
      ? precharged(drawn, until, { ...limited, method: "mixed" }, options.algebra)
      : { design: drawn };
  const assembly = new Assembly(begun, until, step ? [step] : [], options.algebra);
  const { clock, system } = assembly;
  const method: Method = asked ?? (step || system.sparse ? "mixed" : "leaps");
  // What repeats is marched once, however often its signals turn; a limit that is given is a budget, and is met on the way.
  const marched = !(repeats && method === "leaps" && clock.exact);
  const steps = marched && options.limits?.steps === undefined ? limited.steps : undefined;
  refuseBeyondLimits(drawn, until, { steps, periods: limited.periods }, method === "leaps");
  const how = { ...limited, method };
  if (system.bytes > how.bytes) {
    refuseOption(
      "limits.bytes",
      `the equations of this circuit take some ${(system.bytes / 1e9).toPrecision(2)} GB`,
      "raise the limit, or split the circuit",
    );
  }
  const [first, last] = [how.from ? clock.at(how.from) : 0, how.to ? clock.at(how.to) : clock.end];
  const recording = new Recording(system.states.length, first, last, how.bytes, how.method === "leaps");
  const inputs = assembly.inputs();
  const worst = Math.max(0, ...inputs.players.map((player) => player.worst));
  const warnings = clock.exact ? [] : [`edges are rounded to the nearest tick, by ${worst} s at most`];
  if (warning) warnings.push(warning);
  const { signal, limits, progress, stream } = options;
  const pause = (told?: SimulateOptions["progress"]) =>
    watch(
      { signal, seconds: limits?.seconds, progress: told, begun: since },
      (n) => clock.time(n),
      clock.time(clock.end),
    );

  // What it took to set up may have been all, and who has cancelled by now wants none of it.
  const over = pause()(0, 0);
  if (over)
    return new Run(
      drawn,
      assembly,
      recording,
      neverBegun({ code: over, reason: whyEnded(over) }),
      start,
      () => warnings,
    );

  let begin: MarchOptions["start"];
  if (start === "settled") {
    const found = settledStart(drawn, { ...how, pause: pause() }, step, options.algebra, assembly);
    if (!found.ok) return new Run(drawn, assembly, recording, neverBegun(found), start, () => warnings);
    begin = found.begin;
  } else begin = start;

  const sink =
    stream &&
    new Stream(
      assembly,
      stream.traces.map((name) => probeOf(drawn, name).probe),
      first,
      last,
      method === "leaps",
      stream.block,
      stream.size ?? 8192,
    );
  const march = new March({ ...assembly, inputs }, sink ?? recording, {
    ...how,
    pause: pause(progress),
    start: begin,
    repeats: { changes: sink ? [] : [first, last], marched: !repeats },
    ...(step && { step: clock.at(step) }),
  });
  const ending = march.run();
  sink?.flush();
  const told = [
    ...ending.contradicted.map((one) => contradictionText(drawn, one)),
    ...remarks(assembly, recording),
    ...letGo(assembly, recording),
    ...doubtful(assembly),
  ];
  const doubts = () => [...warnings, ...ambiguous(ending), ...told];
  const within = Math.min(traceAccuracy, how.tolerance);
  return new Run(drawn, assembly, recording, ending, start, doubts, within, how.periods);
}

function ambiguous(ending: Ending): string[] {
  const names = ending.ambiguous().map((name) => `'${name}'`);
  if (names.length === 0) return [];
  return [`at the start more than one combination of modes fits: ${names.join(", ")} could be either way`];
}

function neverBegun({ code, reason }: { code: string; reason: string }): Ending {
  return {
    status: "stopped",
    code,
    reason,
    reached: 0,
    steps: 0,
    rejected: 0,
    events: 0,
    ambiguous: () => [],
    contradicted: [],
    matrices: 0,
  };
}
