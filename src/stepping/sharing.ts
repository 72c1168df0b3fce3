// The effect on each part of a sharing of charge or flux at an instant. An unbounded current flows for no time: the charge
// that it moves is known, and so is the energy; likewise an unbounded voltage and its flux (volt-seconds).
// Always: the energies of all parts, gains of reactive ones included, sum to zero (Tellegen's theorem on the charges and the
// voltages after the sharing, and on the fluxes and the currents). Losses that these voltages do not explain go to the ideal
// parts that let them happen, by the squares of their charges, as equal small resistances would share them; to sources where
// nothing else is in the way, and to the capacitors or coils themselves where not even sources are.
import type { Combination, System } from "../equations/system.js";
import { evaluate } from "./products.js";

/** The effect of a sharing on one part. */
export interface PartSharing {
  /** Index of the part. */
  readonly part: number;
  /** Charge along its arrow, C. */
  readonly charge: number;
  /** Volt-seconds from its tail to its head, Vs. */
  readonly flux: number;
  /** Energy taken up, J; for a reactive part, gained. */
  readonly energy: number;
}

/** A charge or flux smaller than this share of the largest is rounding. */
const speck = 1e-9;

/**
 * The parts that a sharing moved charge through or put flux across.
 * @param s states before and after it, and the sources
 * @param lost energy lost in it, J
 * @param freed of it, what each state released as its size changed
 */
export function sharedBy(
  system: System,
  at: Combination,
  s: {
    readonly before: Float64Array;
    readonly x: Float64Array;
    readonly u: Float64Array;
    readonly du: Float64Array;
  },
  lost: number,
  freed?: Float64Array,
): PartSharing[] {
  const { before } = s;
  const { elements, dependent, places, currents, sudden, mass } = at.equations;
  const moved = dependent.map(({ state }) => s.x[state] - before[state]);
  const impulse = (rows: Float64Array, row: number) =>
    moved.reduce((sum, m, t) => sum + rows[row * dependent.length + t] * m, 0);
  const [volts, amperes] = [new Float64Array(places.count), new Float64Array(currents.count)];
  evaluate(places, s.x, s.u, s.du, volts);
  evaluate(currents, s.x, s.u, s.du, amperes);
  const fluxes = Array.from(volts, (_, p) => impulse(sudden.places, p));
  const found = system.members.map(({ tail, head }, part) => ({
    part,
    charge: 0,
    flux: fluxes[tail] - fluxes[head],
    energy: 0,
    reactive: false,
  }));
  // Of an element within its part.
  let number = 0;
  for (const [i, e] of elements.entries()) {
    const { tail, head, drives, device, fault } = system.members[e.part];
    const charge = impulse(sudden.currents, i);
    const own = found[e.part];
    const [end, sign] = drives ? [head, -1] : [tail, 1];
    number = i > 0 && elements[i - 1].part === e.part ? number + 1 : 0;
    const counts = fault !== undefined || device.counts?.(at.modes[e.part], number) !== false;
    if (counts && e.a !== e.b) own.charge += e.a === end ? sign * charge : e.b === end ? -sign * charge : 0;
    if (e.state >= 0) {
      own.reactive = true;
      own.energy += mass.gained(e.state, s.x, before) - (freed?.[e.state] ?? 0);
    } else own.energy += charge * (volts[e.a] - volts[e.b]) + (fluxes[e.a] - fluxes[e.b]) * amperes[i];
  }
  const most = (of: (one: (typeof found)[number]) => number) =>
    found.reduce((m, one) => Math.max(m, Math.abs(of(one))), 0);
  const [c, f] = [speck * most((one) => one.charge), speck * most((one) => one.flux)];
  const charged = dependent.some(
    ({ state }, t) => moved[t] !== 0 && system.states[state].type === "capacitor",
  );
  const weight = (one: (typeof found)[number]) => {
    const size = charged ? one.charge : one.flux;
    return Math.abs(size) > (charged ? c : f) ? size * size : 0;
  };
  const bears = [
    found.filter((one) => !one.reactive && !system.members[one.part].delivers && weight(one) > 0),
    found.filter((one) => !one.reactive && weight(one) > 0),
    found.filter((one) => weight(one) > 0),
  ].find((some) => some.length > 0);
  const whole = (bears ?? []).reduce((sum, one) => sum + weight(one), 0);
  for (const one of bears ?? []) one.energy += (lost * weight(one)) / whole;
  return found
    .filter((one) => Math.abs(one.charge) > c || Math.abs(one.flux) > f)
    .map(({ part, charge, flux, energy }) => ({
      part,
      charge: Math.abs(charge) > c ? charge : 0,
      flux: Math.abs(flux) > f ? flux : 0,
      energy,
    }));
}
