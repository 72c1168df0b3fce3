// What someone would write by hand for one sweep: a loop with a fixed step, for that circuit and no other.
// Takes the values of a sweep (examples/line.ramp, field.ramp); gives the voltage after every step. The circuit has
// three straight pieces: the ramp (feed and hold), the reset (the switch as well), the guard (the diode as well). Each
// is v' = a v + b, and the trapezoidal rule makes of it v <- p v + q with p = (1 + a h/2)/(1 - a h/2).
// Always: the same circuit and the same instants of switching as the design, so that the two can be compared.

/** A sweep in SI units. */
export interface Sweep {
  readonly period: number;
  /** Width of the pulse that closes the switch, from time zero on; a whole number of steps, as is the period. */
  readonly pulse: number;
  readonly rail: number;
  readonly logic: number;
  readonly charge: number;
  readonly headroom: number;
  readonly output: number;
  readonly hold: number;
  readonly on: number;
  readonly drop: number;
  readonly diode: number;
}

/** Voltage of the ramp after each step, from one step after time zero. */
export function loop(s: Sweep, seconds: number, step: number): Float64Array {
  const count = Math.round(seconds / step);
  const out = new Float64Array(count);
  const piece = (conductance: number, current: number) => {
    const a = -conductance / s.hold;
    const b = current / s.hold;
    const scale = 1 / (1 - (a * step) / 2);
    return { p: (1 + (a * step) / 2) * scale, q: b * step * scale };
  };
  const g = 1 / s.output;
  const feed = s.charge + (s.rail - s.headroom) * g;
  const ramp = piece(g, feed);
  const reset = piece(g + 1 / s.on, feed);
  const knee = s.logic + s.drop;
  const guard = piece(g + 1 / s.diode, feed + knee / s.diode);
  const period = Math.round(s.period / step);
  const pulse = Math.round(s.pulse / step);
  let v = start(s);
  let phase = 0;
  for (let i = 0; i < count; i++) {
    if (phase < pulse) v = reset.p * v + reset.q;
    else if (v < knee) v = ramp.p * v + ramp.q;
    else v = guard.p * v + guard.q;
    out[i] = v;
    if (++phase === period) phase = 0;
  }
  return out;
}

/** Where the ramp rests while the switch is closed: the feed's current through the on-resistance. */
export function start(s: Sweep): number {
  return (s.charge + (s.rail - s.headroom) / s.output) / (1 / s.on + 1 / s.output);
}

/**
 * Peak of the ramp in closed form: V - (V - v0) e^(-T/RC), the charging of a capacitor through the source's output
 * resistance (J. Millman & H. Taub, "Pulse, Digital, and Switching Waveforms", 1965). The pulse must be long enough for
 * the ramp to come to rest, or v0 be given.
 */
export function peak(s: Sweep, v0: number): number {
  const far = s.charge * s.output + s.rail - s.headroom;
  return far - (far - v0) * Math.exp(-(s.period - s.pulse) / (s.output * s.hold));
}

/** Where the field's ramp stands when its switch opens, in periods of its own making: two closed forms in turn. */
export function settled(s: Sweep): { floor: number; peak: number } {
  const rest = start(s);
  const tau = s.hold / (1 / s.on + 1 / s.output);
  let floor = rest;
  let top = peak(s, floor);
  for (let k = 0; k < 50; k++) {
    floor = rest + (top - rest) * Math.exp(-s.pulse / tau);
    top = peak(s, floor);
  }
  return { floor, peak: top };
}

/**
 * The ramp at any instant from time zero on, in closed form: it falls towards its rest while the switch is closed, and
 * climbs towards the far end of the source's output resistance while it is open. It must stay clear of the guard.
 */
export function waveform(s: Sweep): (t: number) => number {
  const rest = start(s);
  const tau = s.hold / (1 / s.on + 1 / s.output);
  const far = s.charge * s.output + s.rail - s.headroom;
  const floorAfter = (top: number) => rest + (top - rest) * Math.exp(-s.pulse / tau);
  // Peaks at the beginning of each period, until they come back to the last bit.
  const peaks = [rest];
  for (;;) {
    const next = peak(s, floorAfter(peaks.at(-1)!));
    if (next === peaks.at(-1) || peaks.length > 1000) break;
    peaks.push(next);
  }
  return (t) => {
    const period = Math.floor(t / s.period);
    const into = t - period * s.period;
    const top = peaks[Math.min(period, peaks.length - 1)]!;
    if (into < s.pulse) return rest + (top - rest) * Math.exp(-into / tau);
    return far - (far - floorAfter(top)) * Math.exp(-(into - s.pulse) / (s.output * s.hold));
  };
}
