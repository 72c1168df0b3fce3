// The table of measures a check may ask for.
// A new measure is one `Measure` in the file of its idea and one line here; no two share their words. The language reference
// lists this table.
import { charge, energy, mean, meanPower, rms } from "./average.js";
import { clippingLevel, clippingTime } from "./clipping.js";
import { crossing } from "./crossing.js";
import { fallTime, resetTime, riseTime, slope } from "./edge.js";
import { floor, peak, peakCurrent, peakPower, sag, swing, tilt, value } from "./level.js";
import { duty, frequency, jitter, period } from "./period.js";
import { extraPulses, missingPulses, pulses } from "./pulses.js";
import { displacementError, sweepError, transmissionError } from "./straight.js";
import type { Measure } from "./window.js";

/**
 * Every measure, in the order the reference shows them.
 *
 * @category Parts and measures of your own
 * @example
 * ```ts
 * measures[0].words; // "peak"
 * ```
 */
export const measures: readonly Measure[] = [
  peak,
  floor,
  swing,
  mean,
  rms,
  value,
  crossing,
  slope,
  riseTime,
  fallTime,
  resetTime,
  sweepError,
  displacementError,
  transmissionError,
  tilt,
  sag,
  period,
  frequency,
  jitter,
  duty,
  pulses,
  missingPulses,
  extraPulses,
  charge,
  energy,
  peakCurrent,
  peakPower,
  meanPower,
  clippingTime,
  clippingLevel,
];
