// Traces of the nest-box monitor made by formula, for the tests of the pictures: gate pulses and ramp at line
// scale and at field scale.
import { Trace } from "../../src/waveforms/trace.js";

/** A sawtooth: reset over 5 ohm and 10 nF while the gate is high, else 4 V up in what is left of the period. */
export function ramp(name: string, period: number, width: number, periods: number, samples: number): Trace {
  const time: number[] = [];
  const value: number[] = [];
  const per = Math.ceil(samples / periods);
  for (let k = 0; k < periods; k++) {
    for (let i = 0; i < per; i++) {
      const t = (period * i) / per;
      time.push(k * period + t);
      value.push(t < width ? 4 * Math.exp(-t / (width / 20)) : (4 * (t - width)) / (period - width));
    }
  }
  return new Trace({ name, unit: "V", time: Float64Array.from(time), value: Float64Array.from(value) });
}

/** Pulses of 5 V with true jumps. */
export function gate(name: string, period: number, width: number, periods: number): Trace {
  const time: number[] = [];
  const value: number[] = [];
  for (let k = 0; k < periods; k++) {
    time.push(k * period, k * period, k * period + width, k * period + width);
    value.push(0, 5, 5, 0);
  }
  time.push(periods * period);
  value.push(0);
  return new Trace({ name, unit: "V", time: Float64Array.from(time), value: Float64Array.from(value) });
}
