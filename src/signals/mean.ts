// The mean of a wave over all time: what a coupling capacitor removes from it in the long run. Gates yet to come do not count.
// Straight lines are summed by their areas, which are exact for whole levels at whole units, as in video. A carrier whose
// components run straight is integrated by parts:
// ∫ (a sin φ + b cos φ) dt = [(b sin φ − a cos φ)/ω + (a' sin φ + b' cos φ)/ω²]. The first bracket has no jump at a corner, so
// over a whole period only the second is left, and of that only the corners where a slope changes.
import { type Fraction, fromNumber, ratio, toNumber, zero } from "../base/fraction.js";
import type { PackedShape } from "./packed.js";
import { cosTurns, sinTurns, turn } from "./sine.js";
import { type Corner, constant, idle, type Wave } from "./wave.js";

/** The mean level, scaled; undefined where the wave has no period. */
export function meanLevel(wave: Wave): Fraction | undefined {
  const { shape, scale } = running(wave);
  switch (shape.kind) {
    case "constant":
      return shape.value.mul(scale);
    case "sine":
      return shape.middle.mul(scale);
    case "packed":
      return fromNumber((area(shape) + carried(shape)) / shape.length).mul(scale);
    case "segments":
      return shape.period && straight(shape.corners, shape.period).mul(scale);
  }
}

/** A wave as it runs at time zero, for all time: gates yet to come do not count. */
export function running(wave: Wave): Wave {
  const { shape, scale } = wave;
  if (!wave.starts && !wave.stops) return wave;
  if (wave.starts && wave.starts.s > 0n && wave.starts.n > 0n) return constant(idle(wave));
  if (wave.stops && (wave.stops.s < 0n || wave.stops.n === 0n)) return constant(idle(wave));
  return { shape, scale };
}

/** Mean of straight lines from corner to corner, and from the last to the first. */
function straight(corners: readonly Corner[], period: Fraction): Fraction {
  let sum = zero;
  corners.forEach(({ time, value }, i) => {
    const last = i + 1 === corners.length;
    const next = corners[last ? 0 : i + 1];
    const until = last ? next.time.add(period) : next.time;
    sum = sum.add(value.add(next.value).mul(until.sub(time)));
  });
  return sum.div(period.mul(2));
}

/** Area below the levels of a packed shape over its length, in levels times units. */
function area({ times, values, length }: PackedShape): number {
  let twice = 0;
  for (let i = 0; i < times.length; i++) {
    const last = i + 1 === times.length;
    const [t, v] = last ? [times[0] + length, values[0]] : [times[i + 1], values[i + 1]];
    twice += (values[i] + v) * (t - times[i]);
  }
  return twice / 2;
}

/**
 * Area below the carrier of a packed shape, per length, in levels times units. If a length does not hold whole cycles, each
 * repeat comes in another phase; over the whole period these are spread evenly, and the area is zero.
 */
function carried({ carrier, times, unit, length, period }: PackedShape): number {
  if (!carrier || !period.equals(unit.mul(ratio(length)))) return 0;
  const { frequency, sine, cosine } = carrier;
  const cycles = frequency.mul(unit);
  const count = times.length;
  const slope = (of: Float64Array, i: number) => {
    const last = i + 1 === count;
    const until = last ? times[0] + length : times[i + 1];
    return (of[last ? 0 : i + 1] - of[i]) / (until - times[i]);
  };
  let sum = 0;
  for (let i = 0; i < count; i++) {
    const before = i === 0 ? count - 1 : i - 1;
    const turned = cycles.mul(ratio(times[i]));
    const phase = toNumber(turned.sub(ratio(turned.n / turned.d)));
    sum += (slope(sine, before) - slope(sine, i)) * sinTurns(phase);
    sum += (slope(cosine, before) - slope(cosine, i)) * cosTurns(phase);
  }
  const speed = turn * toNumber(cycles);
  return sum / (speed * speed);
}
