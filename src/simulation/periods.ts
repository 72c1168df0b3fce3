// The common period of the signals that drive a circuit: of those that move anything with a memory. A signal that reaches
// only resistors does not affect settling, and must not stretch the period of the others.

import { commonDivisor, type Fraction, ratio, toNumber } from "../base/fraction.js";
import { DisjointSets } from "../base/graph.js";
import { engineering } from "../base/quantity.js";
import { type Design, holdsAlone, type PartSpec } from "../design/design.js";
import type { System } from "../equations/system.js";
import type { Device } from "../parts/contract.js";
import { stays, type Wave } from "../signals/wave.js";

/** The most times that the shortest period may go into the common one. */
const mostInside = 1e6;
/** Where no signal repeats, a state at rest comes back after any time; this one is used, s. */
const any = ratio(1, 1000);

/**
 * The shortest time that is a whole number of periods of every relevant signal, or why there is none.
 * @param system the circuit of the design
 */
export function commonPeriod(design: Design, system: System): Fraction | string {
  const all = design.parts.filter((p) => p.wave && !stays(p.wave));
  const devices = system.members.map(({ device }) => device);
  const live = driving(design, devices, new Set(system.states.map(({ part }) => part)));
  const which = all.filter((p) => live.has(p));
  // Where none is relevant any period will do, and the shortest is marched soonest.
  if (which.length === 0) {
    const periods = all.flatMap((p) => periodOf(p.wave!) ?? []);
    const shortest = periods.reduce<Fraction | undefined>((a, b) => (a?.lte(b) ? a : b), undefined);
    return shortest ?? any;
  }
  let common: Fraction | undefined;
  let shortest: Fraction | undefined;
  for (const { name, wave } of which) {
    const period = periodOf(wave!);
    if (!period) return `the signal '${name}' does not repeat, so nothing can settle to it`;
    common = common ? common.mul(period).div(commonDivisor(common, period)) : period;
    shortest = !shortest || period.lt(shortest) ? period : shortest;
  }
  if (common!.div(shortest!).lte(mostInside)) return common!;
  const names = which.map((p) => `'${p.name}'`).join(", ");
  const [whole, part] = [common!, shortest!].map((t) => engineering(toNumber(t), "s"));
  return `the signals ${names} have no common period within ${mostInside} of the shortest: ${part} goes into ${whole}`;
}

function periodOf({ shape }: Wave): Fraction | undefined {
  if (shape.kind === "constant") return undefined;
  return shape.kind === "sine" ? shape.frequency.inverse() : shape.period;
}

/**
 * The signals that affect something with a memory.
 * @param devices by part
 * @param states parts that have a state
 */
function driving(design: Design, devices: readonly Device[], states: ReadonlySet<number>): Set<PartSpec> {
  const { parts, places } = design;
  // A place that an ideal source holds against ground passes nothing on from one side to the other.
  const stiff = new Set<number>([0]);
  for (const p of parts) if (holdsAlone(p)) stiff.add(p.tail);
  const sets = new DisjointSets(places.length + parts.length);
  const touched = parts.map((p) => [
    p.tail,
    p.head,
    ...p.places.values(),
    ...(p.control?.type === "level" ? [p.control.place] : []),
  ]);
  for (const [i, some] of touched.entries())
    for (const place of some) if (!stiff.has(place)) sets.join(places.length + i, place);
  for (const [i, { couples }] of parts.entries())
    for (const coil of couples ?? [])
      sets.join(places.length + i, places.length + parts.findIndex((p) => p.name === coil));
  const remembers = new Set<number>();
  for (const [i, device] of devices.entries()) {
    const acts = device.modes.some((_, m) => device.dwell?.(m) || device.guards(m).some((g) => g.control));
    if (states.has(i) || acts) remembers.add(sets.find(places.length + i));
  }
  return new Set(
    parts.filter((p, own) => {
      if (!p.wave) return false;
      // A signal affects whatever touches its place, and everything connected to that.
      const feels = (i: number) => i === own || (stiff.has(p.tail) && touched[i].includes(p.tail));
      return touched.some((_, i) => feels(i) && remembers.has(sets.find(places.length + i)));
    }),
  );
}
