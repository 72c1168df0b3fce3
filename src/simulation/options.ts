// The options of a run, turned into a plan: quantities are made exact, limits are checked before any memory is taken, and
// whatever makes no sense is refused with a diagnostic.

import { asked, exactly, type Given, oneOf, refuseOption, type Sorts } from "../base/asked.js";
import { dimension } from "../base/dimension.js";

import { type Fraction, ratio } from "../base/fraction.js";
import { didYouMean } from "../base/nearest.js";
import type { Design } from "../design/design.js";
import { defaultLength, runLengths, runLengthsText } from "../design/length.js";
import type { Streaming } from "./stream.js";
import type { Progress } from "./supervision.js";

/** Default limit on steps, leaps and corners of signals. */
export const mostSteps = 5e7;

/**
 * Limits of a run. A limit that is given is a budget: the run stops there and keeps what it has. A run that is plainly beyond
 * a default limit is refused before it starts.
 */
export interface Limits {
  /**
   * The most steps, leaps and corners of signals; 5e7 unless given. A leap in which a thousand looks do not tell what crosses
   * in it counts as 256.
   */
  readonly steps?: number;
  /** The most bytes of recording, and of equations; 1e9 unless given. */
  readonly bytes?: number;
  /** The most seconds of computing, setting up and settling included; no limit unless given. */
  readonly seconds?: number;
  /** The most periods of a signal that a check counts by; 2e7 unless given. */
  readonly periods?: number;
}

/** How to simulate. Every option may be left out. */
export interface SimulateOptions {
  /** End of the run. Default: `run for` in the design, else long enough for its signals and checks. */
  readonly until?: Given;
  /** Name of the case to run; default: the design as drawn. */
  readonly case?: string;
  /**
   * `steady`: the circuit's steady state for the signals at time zero; `rest`: everything discharged; `settled`:
   * the state that one common period of the signals leads back to itself. Default: as the design says, else `steady`.
   */
  readonly start?: "steady" | "rest" | "settled";
  /** A fixed step; default: steps chosen by the local error. Edges and events are met all the same. */
  readonly step?: Given;
  /**
   * `leaps` (default): from one corner or event to the next at once, exact but for rounding. The others step: by one method
   * throughout, or `mixed`, trapezoids with two TR-BDF2 steps after each jump, which is the default with a fixed step and in
   * circuits from some tens of capacitors and inductors on.
   */
  readonly method?: "leaps" | "mixed" | "trapezoid" | "tr-bdf2";
  /**
   * Local error allowed in a step, as a share of the swing; default 3e-5. Lasting errors are held to a thousandth of it. Leaps
   * are exact; for them a value below 4e-7 sets how accurate a trace is between its samples.
   */
  readonly tolerance?: number;
  /** How matrices are kept; default: `sparse` from some tens of capacitors and inductors on, else `dense`. */
  readonly algebra?: "dense" | "sparse";
  /**
   * False: every period is computed. Default: where leaps return to a state bit for bit, after one period of all signals or
   * up to 512 of them, what follows is known until a signal starts, stops or changes, and is recorded as so many repeats: the
   * same run to the last bit, in less time and memory.
   */
  readonly repeats?: boolean;
  /** The stretch to record; default: all of it. */
  readonly record?: { readonly from?: Given; readonly to?: Given };
  /** Limits on what it may take. */
  readonly limits?: Limits;
  /** Stops the run when aborted, e.g. from `progress`; what was computed is kept. */
  readonly signal?: { readonly aborted: boolean };
  /** Told how far the run has got, at most ten times a second. */
  readonly progress?: (progress: Progress) => void;
  /** Hands the samples on in blocks instead of keeping them: memory stays flat, and the run has no traces. */
  readonly stream?: Streaming;
}

/** Checked and exact options, with their defaults; the method and the algebra only if they are asked for. */
export interface Plan
  extends Pick<SimulateOptions, "method" | "algebra">,
    Required<Pick<SimulateOptions, "start" | "repeats" | "tolerance">>,
    Required<Omit<Limits, "seconds">> {
  /** The design under the case asked for. */
  readonly design: Design;
  readonly until: Fraction;
  /** Whether the length was asked for as an option. */
  readonly untilAsked: boolean;
  readonly step?: Fraction;
  /** The stretch to record; absent: from the start, to the end. */
  readonly from?: Fraction;
  readonly to?: Fraction;
}

const methods = ["leaps", "mixed", "trapezoid", "tr-bdf2"] as const;
const starts = ["steady", "rest", "settled"] as const;

const sorts: Sorts<Required<SimulateOptions>> = {
  until: "any",
  case: "text",
  start: "text",
  step: "any",
  method: "text",
  tolerance: "number",
  algebra: "text",
  repeats: "flag",
  record: "object",
  limits: "object",
  signal: "object",
  progress: "function",
  stream: "object",
};

/** Checks the options inside other options. */
function askedInside({ record, limits, stream }: SimulateOptions): void {
  if (record) asked(record, { from: "any", to: "any" }, "record.");
  if (limits)
    asked(limits, { steps: "number", bytes: "number", seconds: "number", periods: "number" }, "limits.");
  if (!stream) return;
  asked(stream, { traces: "texts", block: "function", size: "number" }, "stream.");
  const { traces, block, size = 1 } = stream;
  if (!traces) refuseOption("stream.traces", "it says what is handed on, and is needed");
  if (!block) refuseOption("stream.block", "it takes what is handed on, and is needed");
  if (!(Number.isInteger(size) && size >= 1 && size <= 2 ** 24))
    refuseOption("stream.size", "a block has a whole number of samples, from 1 to 16777216");
}

/** @throws DesignError `bad-option` */
export function plan(given: Design, options: SimulateOptions): Plan {
  asked(options, sorts);
  askedInside(options);
  const { record, algebra, tolerance = 3e-5, repeats = true } = options;
  const design = caseNamed(given, options.case);
  const until = timeAsked(options.until, "until") ?? design.run.length ?? defaultLength(design);
  if (!positive(until))
    refuseOption("until", "the run must end after time zero", "give a time such as '1 ms'");
  if (until.lt(runLengths.from) || until.gt(runLengths.to)) refuseOption("until", runLengthsText);
  const step = timeAsked(options.step, "step");
  if (step && !positive(step))
    refuseOption("step", "a step must be longer than zero", "give a time such as '1 us', or none");
  const { steps = mostSteps, bytes = 1e9, seconds = 1, periods = 2e7 } = options.limits ?? {};
  for (const [name, limit] of Object.entries({ steps, bytes, seconds, periods })) {
    if (!(typeof limit === "number" && limit > 0))
      refuseOption(`limits.${name}`, "a limit must be greater than zero", "raise it, or leave it out");
  }
  if (step && until.div(step).gt(ratio(BigInt(Math.floor(Math.min(steps, Number.MAX_SAFE_INTEGER)))))) {
    refuseOption(
      "step",
      `the run would take more than the ${steps} steps allowed`,
      "take longer steps, or raise limits.steps",
    );
  }
  const method = options.method === undefined ? undefined : oneOf("method", options.method, methods);
  if (step && method === "leaps")
    refuseOption("method", "leaps have no fixed step", "leave one of the two out; `resample` gives a grid");
  if (algebra !== undefined) oneOf("algebra", algebra, ["dense", "sparse"] as const);
  if (!(tolerance > 0 && tolerance < 1)) refuseOption("tolerance", "the tolerance must lie between 0 and 1");
  const from = timeAsked(record?.from, "record.from");
  const to = timeAsked(record?.to, "record.to");
  if (from?.gte(to?.lt(until) ? to : until)) refuseOption("record", "the stretch to record is empty");
  const start = oneOf("start", options.start ?? design.run.start, starts);
  const untilAsked = options.until !== undefined;
  const how = { start, method, step, algebra, repeats, tolerance };
  return { design, until, untilAsked, ...how, from, to, steps, bytes, periods };
}

function timeAsked(given: Given | undefined, option: string): Fraction | undefined {
  return given === undefined ? undefined : exactly(given, dimension.time, option);
}

function positive(t: Fraction): boolean {
  return t.s > 0n && t.n > 0n;
}

/** The design under a case; without a name, as drawn. @throws DesignError `bad-option` */
export function caseNamed(design: Design, name: string | undefined): Design {
  if (name === undefined || name === design.caseName) return design;
  const found = design.cases.find((c) => c.caseName === name);
  if (found) return found;
  const known = design.cases.map((c) => c.caseName);
  const all = known.slice(0, 12).map((one) => `"${one}"`);
  const there =
    all.length > 0 ? `cases are ${all.join(", ")}${known.length > all.length ? ", ..." : ""}` : undefined;
  return refuseOption("case", `no case is called "${name}"`, didYouMean(name, known, '"') ?? there);
}
