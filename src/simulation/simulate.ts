// One run of a design, from its words to its waveforms: this page is the pipeline.

import { DesignError } from "../base/diagnostic.js";
import * as dimension from "../base/dimension.js";
import { type Fraction, ratio } from "../base/fraction.js";
import { nearest } from "../base/nearest.js";
import { quantityOf } from "../base/quantity.js";
import { wholeText } from "../base/span.js";
import type { Design } from "../design/design.js";
import { March, type MarchOptions } from "../stepping/march.js";
import type { Ending } from "../stepping/sink.js";
import { Assembly } from "./assemble.js";
import { defaultLength } from "./length.js";
import { reader } from "./playback.js";
import { probeOf } from "./probe.js";
import { Recording } from "./recording.js";
import { Run } from "./run.js";
import { settledStart } from "./settled.js";
import { Stream, type Streaming } from "./stream.js";
import { type Progress, watch } from "./watch.js";

/** A quantity as text with its unit, `"5 ms"`, or as a number in SI units. */
export type Given = string | number;

// Beyond these, ticks are no longer what doubles can say.
const shortest = ratio(1n, 10n ** 18n);
const longest = ratio(10n ** 12n);

/** How to simulate. All of it may be left out. */
export interface SimulateOptions {
  /** End of the run. Default: `run for` in the design, else long enough for its signals and checks. */
  readonly until?: Given;
  /** Name of the case to run; default: the design as drawn. */
  readonly case?: string;
  /**
   * `steady`: the circuit's steady state for the signals at time zero; `rest`: everything discharged; `settled`:
   * the state that one common period of the signals leads back to. Default: as the design says, else `steady`.
   */
  readonly start?: "steady" | "rest" | "settled";
  /** A fixed step; default: steps chosen by the local error. Edges and events are met all the same. */
  readonly step?: Given;
  /** `mixed` (default): two TR-BDF2 steps after each jump, else trapezoids. The others use one method throughout. */
  readonly method?: "mixed" | "trapezoid" | "tr-bdf2";
  /** Local error allowed, as a share of the swing; default 5e-5. What lasts is held to a thousandth of it. */
  readonly tolerance?: number;
  /** How matrices are kept; default: `sparse` from some tens of capacitors and inductors on, else `dense`. */
  readonly algebra?: "dense" | "sparse";
  /** The stretch to record; default: all of it. */
  readonly record?: { readonly from?: Given; readonly to?: Given };
  /** The most steps (default 5e7), bytes of recording (default 1e9), and seconds of computing (no limit). */
  readonly limits?: { readonly steps?: number; readonly bytes?: number; readonly seconds?: number };
  /** Stops the run when aborted, e.g. from `progress`; what was computed is kept. */
  readonly signal?: { readonly aborted: boolean };
  /** Told how far the run is, at most ten times a second. */
  readonly progress?: (progress: Progress) => void;
  /** Hands the samples on in blocks instead of keeping them: memory stays flat, the run has no traces. */
  readonly stream?: Streaming;
}

/**
 * Simulates a design. Synchronous and deterministic: same text, same options, same bits.
 * A run that cannot go on is not an error: it keeps what it has, with `status` and `reason`.
 * @throws DesignError for options that make no sense
 */
export function simulate(design: Design, options: SimulateOptions = {}): Run {
  const drawn = chosen(design, options.case);
  const time = (given: Given, what: string) => quantity(given, what);
  const until =
    options.until === undefined ? (drawn.run.length ?? defaultLength(drawn)) : time(options.until, "until");
  if (until.s <= 0n || until.n === 0n) refuse("until", "the run must end after time zero");
  if (until.lt(shortest) || until.gt(longest)) refuse("until", "a run may last from 1e-18 s to 1e12 s");
  oneOf(options.start, ["steady", "rest", "settled"], "start");
  oneOf(options.method, ["mixed", "trapezoid", "tr-bdf2"], "method");
  const step = options.step === undefined ? undefined : time(options.step, "step");
  if (step && (step.s <= 0n || step.n === 0n)) refuse("step", "a step must be longer than zero");
  const steps = options.limits?.steps ?? 5e7;
  if (!(steps > 0)) refuse("limits.steps", "the limit must be greater than zero");
  if (step && until.div(step).gt(ratio(BigInt(Math.floor(Math.min(steps, 2 ** 52)))))) {
    refuse(
      "step",
      `the run would take more than the ${steps} steps allowed`,
      "take longer steps, or raise limits.steps",
    );
  }
  const tolerance = options.tolerance ?? 5e-5;
  if (!(tolerance > 0 && tolerance < 1)) refuse("tolerance", "the tolerance must lie between 0 and 1");
  const bytes = options.limits?.bytes ?? 1e9;

  const assembly = new Assembly(drawn, until, step ? [step] : [], options.algebra);
  const { clock, system, volts, amperes } = assembly;
  const from = options.record?.from === undefined ? 0 : clock.at(time(options.record.from, "record.from"));
  const to = options.record?.to === undefined ? clock.end : clock.at(time(options.record.to, "record.to"));
  const recording = new Recording(system.states.length, from, to, bytes);
  const inputs = assembly.inputs();
  const { signal } = options;
  const seconds = options.limits?.seconds;
  const pause = (progress: SimulateOptions["progress"]) =>
    watch({ signal, seconds, progress }, (n) => clock.time(n), clock.time(clock.end));
  const how = {
    method: options.method ?? "mixed",
    tolerance,
    steps,
    pause: pause(options.progress),
  } as const;
  const worst = Math.max(0, ...inputs.players.map((player) => player.worst));
  const warnings = clock.exact ? [] : [`edges are rounded to the nearest tick, by ${worst} s at most`];
  let start: MarchOptions["start"];
  const word = options.start ?? drawn.run.start;
  if (word === "settled") {
    const found = settledStart(drawn, { ...how, pause: pause(undefined) }, step, options.algebra);
    if (!found.ok) return new Run(drawn, assembly, recording, neverBegun(found), warnings);
    start = found.begin;
  } else start = word;
  const { stream } = options;
  const readers = stream?.traces.map((name) => reader(assembly, probeOf(drawn, name).probe));
  const sink = stream && new Stream(assembly, readers!, recording, stream.block, stream.size ?? 8192);
  const march = new March(system, inputs, clock, sink ?? recording, {
    ...how,
    start,
    ...(step && { step: clock.at(step) }),
    volts,
    amperes,
  });
  const ending = march.run();
  sink?.flush();
  return new Run(drawn, assembly, recording, ending, warnings);
}

function neverBegun({ code, reason }: { code: string; reason: string }): Ending {
  return { status: "stopped", code, reason, reached: 0, steps: 0, rejected: 0, events: 0, matrices: 0 };
}

function chosen(design: Design, name: string | undefined): Design {
  if (name === undefined || name === design.caseName) return design;
  const found = design.cases.find((c) => c.caseName === name);
  if (found) return found;
  const near = nearest(
    name,
    design.cases.map((c) => c.caseName),
  );
  return refuse("case", `no case is called "${name}"`, near && `did you mean "${near}"?`);
}

function quantity(given: Given, what: string): Fraction {
  try {
    return quantityOf(given, dimension.time, what);
  } catch (error) {
    if (error instanceof RangeError) return refuse(what, error.message.replace(`${what}: `, ""));
    throw error;
  }
}

// Callers without types may hand over any word.
function oneOf(word: string | undefined, known: readonly string[], what: string): void {
  if (word === undefined || known.includes(word)) return;
  refuse(what, `'${word}' is not known here`, `known: ${known.join(", ")}`);
}

function refuse(option: string, message: string, hint?: string): never {
  throw new DesignError([
    {
      code: "bad-option",
      severity: "error",
      message: `${option}: ${message}`,
      span: wholeText,
      ...(hint && { hint }),
    },
  ]);
}
