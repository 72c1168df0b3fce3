// The beat of a run that sines alone drive. A sine has no corners, so nothing ends a leap at its periods, and a run of a million
// cycles would be one leap, to be looked into cycle by cycle. In a run of so many, the march rests at every common period
// instead, where what repeats can be told.
import { commonDivisor, type Fraction, one, toNumber } from "../base/fraction.js";
import type { Wave } from "./wave.js";

/** From so many beats on the march rests at them; and at no more than so many, at every second, fourth, ... of them if need be. */
export const manyBeats = 2 ** 17;
export const mostRests = 2 ** 20;

/** The most turns between two rests: those of a few such stretches are looked into when a trace is asked for. */
export const mostTurns = 2 ** 14;

/** The common period (s) of waves of which none has corners that recur; undefined where one has, or none turns. */
export function sineBeat(waves: readonly Wave[]): Fraction | undefined {
  let beat: Fraction | undefined;
  for (const { shape } of waves) {
    if (shape.kind === "constant") continue;
    if (shape.kind === "segments" && !shape.period) continue;
    if (shape.kind !== "sine") return undefined;
    const period = one.div(shape.frequency);
    beat = beat ? beat.mul(period).div(commonDivisor(beat, period)) : period;
  }
  return beat;
}

/** The beats (s) at which a long run rests; undefined in a shorter one. @param until its length, s */
export function restingBeat(waves: readonly Wave[], until: Fraction): Fraction | undefined {
  const beat = sineBeat(waves);
  if (!beat) return undefined;
  const times = restsEvery(toNumber(until.div(beat)));
  return times > 0 ? beat.mul(times) : undefined;
}

/** After how many beats a run of so many rests; 0 for never. */
export function restsEvery(beats: number): number {
  if (beats < manyBeats) return 0;
  let times = 1;
  while (beats > times * mostRests) times *= 2;
  return times;
}
