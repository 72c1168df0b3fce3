import { Trace } from "../../src/waveforms/trace.js";
/** A sawtooth: reset over 5 ohm and 10 nF while the gate is high, else 4 V up in what is left of the period. */
export declare function ramp(name: string, period: number, width: number, periods: number, samples: number): Trace;
/** Pulses of 5 V with true jumps. */
export declare function gate(name: string, period: number, width: number, periods: number): Trace;
