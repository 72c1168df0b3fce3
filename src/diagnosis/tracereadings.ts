// Captures as readings: floor, peak, mean and swing of an instrument's samples, to its step and its scatter. The mean is taken
// over whole cycles where there are any, since samples begin and end anywhere.
import { refusal } from "../base/diagnostic.js";
import { handed, handedNumber, handedObject, handedText } from "../base/handed.js";
import { engineering } from "../base/quantity.js";
import { heldIn } from "../captures/beside.js";
import type { FitCapture } from "../captures/fitruns.js";
import { scatterIn } from "../captures/instrumentshare.js";
import { heldTrace, stepOf } from "../captures/layover.js";
import { movingPeriods } from "../captures/movingperiods.js";
import type { Design } from "../design/design.js";
import { crossings } from "../measures/crossing.js";
import { measures } from "../measures/measures.js";
import { type TimeSpan, traceBounds } from "../measures/window.js";
import { caseNamed } from "../simulation/options.js";
import type { Trace } from "../waveforms/trace.js";
import { specOf } from "./columns.js";
import type { Reading } from "./readings.js";

/** Rounding to steps moves no sample more than half a step off the mean of its neighbours: `scatterIn` makes this of it. */
const ofSteps = 0.61;
/** Among some thousand samples the highest lies three deviations of their scatter above the curve, the lowest as far below. */
const outermost = 3;
/** With more samples than these some lie a step farther out, by noise too small to be seen as scatter. */
const fewSamples = 100;
/** Noise below a step moves a sample by less than so many steps off the mean of its neighbours; anything farther is an edge. */
const byNoise = 1.5;

/**
 * The noise of samples, apart from their steps. Where the median shows no more than the steps do, the mean square of whatever may
 * be noise is used; edges can inflate that, so it is limited to what the median shows.
 */
function noiseOf({ value }: Trace, step: number): number {
  const seen = scatterIn(value, step);
  let scatter = seen;
  if (seen <= ofSteps * step && value.length > 2) {
    let sum = 0;
    for (let i = 1; i < value.length - 1; i++)
      sum += Math.min(byNoise * step, Math.abs(value[i] - (value[i - 1] + value[i + 1]) / 2)) ** 2;
    // The variance of a sample's distance from the mean of its neighbours is three halves of the scatter's, see scatterIn.
    scatter = Math.min(seen, Math.sqrt(sum / (value.length - 2) / 1.5));
  }
  const more = scatter ** 2 - step ** 2 / 12;
  // A remainder by rounding counts as zero.
  return more > 1e-9 * step ** 2 ? Math.sqrt(more) : 0;
}

/**
 * A capture of a trace as readings: its floor, peak, mean and swing, the levels to the step of the instrument and to the effect
 * of scatter on the highest and the lowest sample.
 *
 * @category Faults
 * @example
 * ```ts
 * const capture = readCapture(readFileSync("examples/captures/guard.csv", "utf8"));
 * const [, highest] = readingsOf(captured(capture), "ramp", capture.channels[0].resolution);
 * highest.what; // "peak of ramp"
 * ```
 * @param trace samples, as `captured` gives them, in their own unit
 * @param of the place, or the part with `.current`
 * @param resolution the step between two levels, in the unit of the trace
 */
export function readingsOf(trace: Trace, of: string, resolution: number, caseName?: string): Reading[] {
  handed("trace", trace);
  handedText(of, "of");
  handedNumber(resolution, "resolution");
  const { low, high } = traceBounds(trace, trace.from, trace.to);
  const mean = measures.find((m) => m.words === "mean")!.take({ trace, ...wholeCycles(trace) });
  const farther = trace.value.length > fewSamples ? resolution : 0;
  const outer = resolution + Math.max(farther, 2 * outermost * noiseOf(trace, resolution));
  const found: [string, number, number][] = [
    ["floor", low, outer],
    ["peak", high, outer],
    ["mean", mean, resolution],
    ["swing", high - low, farther > 0 ? Math.SQRT2 * outer : outer],
  ];
  return found.map(([words, value, step]) => ({
    what: `${words} of ${of}`,
    value,
    resolution: step,
    ...(caseName !== undefined && { case: caseName }),
  }));
}

/**
 * A capture of a trace as readings, for `diagnose`.
 *
 * @category Faults
 * @example
 * ```ts
 * const capture = readCapture(readFileSync("examples/captures/guard.csv", "utf8"));
 * const readings = readingsFrom(design, { capture, of: "ramp" });
 * readings.map(({ what }) => what); // ["floor of ramp", "peak of ramp", "mean of ramp", "swing of ramp"]
 * ```
 * @throws DesignError `short-capture` for less than a period of the signal behind the trace, `unknown-place`, `unknown-channel`,
 * `wrong-dimension`, `too-few-samples`, `bad-option` for a case that does not exist
 */
export function readingsFrom(design: Design, held: FitCapture): Reading[] {
  handed("design", design);
  handedObject(held, "held");
  handed("capture", held.capture, "held.capture");
  const { trace, lacks } = shownIn(design, held);
  if (lacks)
    throw refusal(
      "short-capture",
      `${held.capture.name} spans ${engineering(trace.to - trace.from, "s", 3)}, less than a period of ${lacks.source}, ${engineering(lacks.period, "s", 3)}: floor and peak of '${held.of}' may lie outside`,
      "capture a whole period, or give the single figures that it shows",
    );
  return readingsOf(trace, held.of, stepOf(held), held.case);
}

/** A capture as a trace, and the signal of which it lacks a full period, if any. */
function shownIn(design: Design, held: FitCapture) {
  const one = caseNamed(design, held.case);
  const { unit } = specOf(one, `peak of ${held.of}`);
  const trace = heldTrace(held, unit);
  const [shortest] = movingPeriods(one, held.of);
  return { trace, lacks: shortest && trace.to - trace.from < 0.99 * shortest.period ? shortest : undefined };
}

/**
 * The captures in the text of a design as readings, for `diagnose`; not the uncalibrated ones, which show no levels, nor those
 * of less than a period.
 *
 * @category Faults
 * @example
 * ```ts
 * const bench = compile(`${text}\ncapture "good.csv" of ramp`, folderResolvers("examples/captures"));
 * readingsHeld(bench)[1].what; // "peak of ramp"
 * ```
 */
export function readingsHeld(design: Design): Reading[] {
  handed("design", design);
  return heldIn(design).flatMap((held) => {
    if (held.uncalibrated || shownIn(design, held).lacks) return [];
    return readingsFrom(design, held);
  });
}

/** From the first to the last rise of a trace through the middle of its levels; all of it where there is only one. */
function wholeCycles(trace: Trace): TimeSpan {
  const { from, to } = trace;
  const { low, high } = traceBounds(trace, from, to);
  const rises = crossings(trace, from, to, (low + high) / 2).filter((c) => c.direction === "rising");
  const [first, last] = [rises.at(0), rises.at(-1)];
  return first && last && last.time > first.time ? { from: first.time, to: last.time } : { from, to };
}
