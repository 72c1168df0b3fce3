// The instant at which a guard crosses, once it is known to cross once between two probes: from the nearer end by two
// derivatives, or by the cubic through both, then by the series near the zero; to the tick, in a handful of probes.
import type { GroupState } from "./groupstate.js";
import type { LeapProbe } from "./leapprobes.js";

/** Probes within a bracket before it is halved. */
const tries = 8;
/** A Newton step so much shorter than every time constant that four terms of the series are enough. */
const near = 1 / 4096;

/** The first tick after the zero of a guard that rises from a to b. */
export function rootBetween(group: GroupState, a: LeapProbe, b: LeapProbe, g: number, depth: number): number {
  const { probes } = group;
  const { tick } = group.matrices;
  const zero = (at: LeapProbe) => group.level(g, at.z);
  if (zero(a) >= 0) return a.n + 1;
  let [low, high] = [a, b];
  let mine = depth;
  for (let turn = 0; high.n - low.n > 1; turn++) {
    const span = high.n - low.n;
    const guess = turn < tries ? beside(group, low, high, g) : 0.5 * span;
    const at = Math.min(Math.max(low.n + Math.round(guess), low.n + 1), high.n - 1);
    const m = probes.at(mine++);
    probes.go(m, at);
    const level = zero(m);
    const slope = group.slope(g, m.d);
    if (slope > 0) {
      const step = -level / slope / tick;
      if (Math.abs(step) * tick * group.motion.rate <= near || Math.abs(step) < 0.5) {
        const root = m.n + polished(group, m, g, step);
        return Math.min(Math.max(Math.floor(root) + 1, low.n + 1), high.n);
      }
    }
    if (level > 0) high = m;
    else low = m;
  }
  return high.n;
}

/**
 * The expected zero, in ticks from the lower end: by level, slope and bend at the nearer end, or else at the other; by the
 * cubic through both where neither leads into the bracket.
 */
function beside(group: GroupState, low: LeapProbe, high: LeapProbe, g: number): number {
  const { tick } = group.matrices;
  const span = high.n - low.n;
  const [y0, y1] = [group.level(g, low.z), group.level(g, high.z)];
  for (const end of -y0 < y1 ? [low, high] : [high, low]) {
    const level = end === low ? -y0 : -y1;
    const slope = group.slope(g, end.d) * tick;
    const root = slope * slope + 2 * group.slope(g, end.dd) * tick * tick * level;
    if (!(slope > 0 && root > 0)) continue;
    const step = end.n - low.n + (2 * level) / (slope + Math.sqrt(root));
    if (step > 0 && step < span) return step;
  }
  const [s0, s1] = [group.slope(g, low.d), group.slope(g, high.d)];
  return span * hermiteRoot(y0, s0 * tick * span, y1, s1 * tick * span);
}

/** The zero of a guard near an instant, in ticks, by four terms of its series and Newton's method from a first guess. */
function polished(group: GroupState, m: LeapProbe, g: number, guess: number): number {
  const { tick } = group.matrices;
  const c0 = group.level(g, m.z);
  const c1 = group.slope(g, m.d) * tick;
  const c2 = (group.slope(g, m.dd) * tick * tick) / 2;
  const c3 = (group.slope(g, m.course(3)) * tick * tick * tick) / 6;
  let t = guess;
  for (let k = 0; k < 3; k++) {
    const value = c0 + t * (c1 + t * (c2 + t * c3));
    const slope = c1 + t * (2 * c2 + t * 3 * c3);
    if (slope > 0) t -= value / slope;
  }
  return t;
}

/**
 * The zero of the cubic through two levels with their slopes (over the whole span), as a share of the span; the first
 * level is below zero, the second above.
 */
function hermiteRoot(y0: number, s0: number, y1: number, s1: number): number {
  const d = y1 - y0;
  const a = s0 - d;
  const b = s1 - d;
  let [low, high] = [0, 1];
  let s = -y0 / d;
  for (let k = 0; k < 12; k++) {
    const r = 1 - s;
    const value = y0 + d * s + s * r * (a * r - b * s);
    if (value > 0) high = s;
    else low = s;
    const slope = d + a * (1 - 4 * s + 3 * s * s) - b * (2 * s - 3 * s * s);
    const next = slope > 0 ? s - value / slope : Number.NaN;
    s = next > low && next < high ? next : (low + high) / 2;
  }
  return s;
}
