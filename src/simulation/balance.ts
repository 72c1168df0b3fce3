// The account of a run: does Kirchhoff's current law hold at every sample, and is what the sources delivered what
// was dissipated and stored? Both are judged relative to what flows. Energy is added up step by step as length
// times mean voltage times mean current, which on trapezoidal steps is exact for every linear element
// (B. D. H. Tellegen's theorem on the means), so that what is left there is rounding.
import type { PartSpec } from "../design/design.js";
import { evaluate } from "../stepping/rows.js";
import { replay } from "./playback.js";
import type { Run } from "./run.js";

/** The account of a run. Energies in joules. */
export interface Balance {
  /** Worst sum of currents at a place, as a share of the largest current there in the whole run. */
  readonly currentLaw: number;
  /** Taken from the sources, between jumps. */
  readonly delivered: number;
  /** Turned to heat, between jumps. */
  readonly dissipated: number;
  /** Gain of the capacitors and inductors, between jumps. */
  readonly stored: number;
  /** Lost where charge or flux was shared at an instant. */
  readonly lost: number;
  /** |delivered − dissipated − stored| as a share of the largest of them, or of the largest energy held. */
  readonly energy: number;
  /** The same over the trapezoidal steps alone. */
  readonly trapezoid: number;
}

const sources = new Set(["supply", "signal", "voltage", "current"]);

/** Draws up the account. A run without samples has nothing to account for: all zero. */
export function balance(run: Run): Balance {
  const { assembly, recording, design } = run;
  const { system, clock } = assembly;
  const nx = system.states.length;
  const places = design.places.length;
  const sum = new Float64Array(places);
  const largest = new Float64Array(places);
  const worst = new Float64Array(places);
  const delivers = design.parts.map((p: PartSpec) => sources.has(p.kind.word) && !p.fault);
  let volts = new Float64Array(places);
  let lastVolts = new Float64Array(places);
  let amps = new Float64Array(0);
  let lastAmps = new Float64Array(0);
  const lastX = new Float64Array(nx);
  let lastTick = -1;
  let lastMode: unknown;
  const all = { delivered: 0, dissipated: 0, stored: 0, gap: 0 };
  const plain = { delivered: 0, dissipated: 0, stored: 0, gap: 0 };
  let held = 0;

  replay(assembly, recording, assembly.inputs(), (m) => {
    const { equations: eq } = m;
    if (amps.length !== eq.elements.length) amps = new Float64Array(eq.elements.length);
    evaluate(eq.places, m.x, m.u, m.du, volts);
    evaluate(eq.currents, m.x, m.u, m.du, amps);
    sum.fill(0);
    eq.elements.forEach((e, i) => {
      const current = amps[i]!;
      sum[e.a]! += current;
      sum[e.b]! -= current;
      largest[e.a] = Math.max(largest[e.a]!, Math.abs(current));
      largest[e.b] = Math.max(largest[e.b]!, Math.abs(current));
    });
    for (let p = 1; p < places; p++) worst[p] = Math.max(worst[p]!, Math.abs(sum[p]!));
    let energy = 0;
    for (let k = 0; k < nx; k++) energy += 0.5 * system.states[k]!.size * m.x[k]! * m.x[k]!;
    held = Math.max(held, energy);

    if (m.tick > lastTick && lastMode === eq) {
      const h = (m.tick - lastTick) * clock.seconds;
      let [delivered, dissipated, stored] = [0, 0, 0];
      eq.elements.forEach((e, i) => {
        if (e.state >= 0) {
          stored += 0.5 * e.size * (m.x[e.state]! - lastX[e.state]!) * (m.x[e.state]! + lastX[e.state]!);
          return;
        }
        const v = (volts[e.a]! - volts[e.b]! + lastVolts[e.a]! - lastVolts[e.b]!) / 2;
        const work = (h * v * (amps[i]! + lastAmps[i]!)) / 2;
        if (e.type !== "resistor" && delivers[e.part]) delivered -= work;
        else dissipated += work;
      });
      for (const account of (recording.flags[m.index]! & 2) === 0 ? [all, plain] : [all]) {
        account.delivered += delivered;
        account.dissipated += dissipated;
        account.stored += stored;
        account.gap += delivered - dissipated - stored;
      }
    }
    lastTick = m.tick;
    lastMode = eq;
    lastX.set(m.x);
    [volts, lastVolts] = [lastVolts, volts];
    [amps, lastAmps] = [lastAmps, amps];
  });

  let currentLaw = 0;
  for (let p = 1; p < places; p++)
    if (largest[p]! > 0) currentLaw = Math.max(currentLaw, worst[p]! / largest[p]!);
  const share = (a: typeof all) => {
    const scale = Math.max(Math.abs(a.delivered), Math.abs(a.dissipated), Math.abs(a.stored), held);
    return scale > 0 ? Math.abs(a.gap) / scale : 0;
  };
  const { delivered, dissipated, stored } = all;
  const lost = run.losses.reduce((total, loss) => total + loss.energy, 0);
  return { currentLaw, delivered, dissipated, stored, lost, energy: share(all), trapezoid: share(plain) };
}
