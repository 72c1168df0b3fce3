// Words of the trade, other languages and other tools for what has another word here: `max` for `peak`, `zener` for `diode`. An
// unknown word is looked up here before it is taken for a slip.

const of = (ours: string, theirs: string) => theirs.split(", ").map((word) => [word, ours] as const);

const meant = new Map<string, readonly string[]>();
for (const [word, ours] of [
  // Kinds of parts and statements.
  ...of("amplifier", "opamp, op, buffer, ota"),
  ...of("diode", "zener, led, rectifier, schottky"),
  ...of("resistor", "fuse, lamp, bulb, heater"),
  ...of("transistor", "npn, pnp, bjt, darlington, triode, pentode, valve"),
  ...of("switch", "mosfet, nmos, pmos, fet, jfet, relay, thyristor, scr, triac"),
  ...of("supply", "battery, power, rail, vcc, vdd, vee, psu"),
  ...of("capacitor", "cap, condenser"),
  ...of("potentiometer", "pot, trimmer, trimpot, preset"),
  ...of("inductor", "coil, choke, winding"),
  ...of("coupling", "transformer"),
  ...of("bistable", "flipflop, latch"),
  ...of("oneshot", "monostable, timer"),
  ...of("inverter", "not"),
  ...of("gate", "nand, nor, and, or, xor"),
  ...of("tube", "crt"),
  ...of("given", "let, param, parameter, var, set, const, define, value"),
  ...of("bring", "include, import, require"),
  ...of("block", "subckt, subcircuit, module"),
  ...of("check", "assert, expect, test"),
  // Measures and limits.
  ...of("peak", "max, maximum, top"),
  ...of("floor", "min, minimum, bottom"),
  ...of("mean", "average, avg"),
  ...of("swing", "amplitude, peak to peak, pp, ptp"),
  ...of("sweep error", "linearity, nonlinearity, non-linearity"),
  ...of("duty", "duty cycle, duty ratio"),
  ...of("below", "under, less, max, maximum, most"),
  ...of("above", "over, greater, more, exceeds, min, minimum, least"),
  ...of("each", "every, per"),
  // Properties.
  ...of("wide", "width, long, lasts"),
  ...of("every", "period, interval"),
  ...of("edges", "rise, risetime, tr"),
  ...of("at", "frequency, freq"),
  ...of("on", "ron, rds, esr"),
  ...of("off", "roff"),
  ...of("drop", "vf, forward, vd, vbe"),
  ...of("breakdown", "vbr, vz, zener"),
  ...of("bandwidth", "gbw, gbp, gbwp"),
  ...of("lasts", "duration, width, wide, time"),
  ...of("gain", "hfe, beta"),
  ...of("starts", "initial, ic"),
  // Changes of a case.
  ...of("stops", "stopped, stop, off, lost"),
  ...of("short", "shorted, shortcircuit, bridged"),
  ...of("open", "opened, removed, disconnected, missing, broken"),
  ...of("dead", "off, killed, fails, gone"),
] as const)
  meant.set(word, [...(meant.get(word) ?? []), ours]);

/** Our words that a word may stand for, the likeliest first. */
export const otherWords = (word: string): readonly string[] => meant.get(word.toLowerCase()) ?? [];
