// Whether a guard crosses within a leap, and where. A guard that its bounds keep below zero cannot; if it rises all the way,
// its end decides; if it only bends down, its crest is sought; if all is open, the leap is split, and searched from its
// start. So a guard that rises above zero and falls back is found wherever that happens, and a crossing costs a handful of
// products. A ring that stays near a level is probed turn by turn; after a number of probes the leap ends where the search
// has got to, so the work for one leap is bounded.
// Always: the first crossing comes first; its tick is the first one after it; all guards that cross by then are named.
import { bitLength, powerOfTwo } from "./binary.js";
import type { GroupState } from "./groupstate.js";
import { type LeapProbe, type LeapProbes, orders } from "./leapprobes.js";
import { fallOf, riseOf, type Within, waysOf } from "./rises.js";
import { rootBetween } from "./root.js";

/** A crossing: ticks from the start of the leap, and the guards; none where nothing crossed in the part searched. */
interface FirstCrossing {
  readonly after: number;
  readonly guards: readonly number[];
}

/** Probes before a leap is cut short: few enough that the limits on steps and time are checked in between. */
const mostLooks = 2 ** 10;
/** For how many steps the probes of a leap that is cut short count: a step that is watched takes a few. */
export const worth = mostLooks / 4;

/** A part ends by this factor after an expected crossing, and is no shorter than this many halvings make it. */
const ahead = 1.125;
const closest = 10;

/**
 * Rounding of a slope and of how far it moves, as a share of both: just after something very quick, these are a remnant that
 * cancels, magnified by its speed from each derivative to the next.
 */
const rounding = powerOfTwo(-44);

/** Newton steps towards a crest before the bracket is halved. */
const tries = 8;

/** Watches the guards of one march. */
export class LeapWatch {
  /** How many leaps were cut short so far, because they took too many probes. */
  short = 0;
  private group!: GroupState;
  private probes!: LeapProbes;
  /** By guard: the level above which it counts as above zero. */
  private sill = new Float64Array(0);
  /** Which entries of z' at the start are above zero. */
  private ways = new Int32Array(0);
  /** By derivative: how far a guard and its slopes can rise and fall in the current interval. */
  private readonly up = new Float64Array(orders);
  private readonly down = new Float64Array(orders);

  /**
   * The first crossing in a leap from the state of the group. Where there is none and z at the end was computed, that is
   * left in the group's `reached`.
   * @param recurs as for `LeapMatrices.leap`
   */
  first(group: GroupState, length: number, recurs: boolean): FirstCrossing | undefined {
    this.group = group;
    group.reached = undefined;
    this.probes = group.probes;
    this.probes.begin();
    const d = group.speed();
    const { start, column, value } = group.motion.guards;
    const count = start.length - 1;
    const rung = bitLength(length - 1);
    const { z, matrices, bounds, ringing, ceilings, reach: sizes } = group;
    const { rises } = ceilings.of(rung, d);
    // Computed for the first guard that the ceiling does not keep from zero.
    let within: Within | undefined;
    let closely: Within | undefined;
    let suspects: number[] | undefined;
    let violated: number[] | undefined;
    let until = length;
    for (let g = 0; g < count; g++) {
      let level = 0;
      for (let p = start[g], end = start[g + 1]; p < end; p++) level += value[p] * z[column[p]];
      if (level > sizes[g] || -level > sizes[g]) sizes[g] = Math.abs(level);
      if (level + rises[g] <= 0) continue;
      if (!within) {
        within = bounds.within(rung);
        if (this.ways.length < d.length) this.ways = new Int32Array(d.length);
        waysOf(d, this.ways);
        ringing?.begin(d, within, length * matrices.tick);
      }
      let reach = level + riseOf(within, g, d, this.ways);
      if (reach <= 0) continue;
      closely ??= bounds.closely(length);
      if (closely !== within) reach = level + riseOf(closely, g, d, this.ways);
      if (reach <= 0) continue;
      if (recurs && level + riseOf(bounds.finely(length), g, d, this.ways) <= 0) continue;
      const noise = group.noise(g);
      if (level > noise) {
        violated ??= [];
        violated.push(g);
        continue;
      }
      // A guard that stands on zero is judged by where it goes.
      let sill = level > 0 ? 2 * noise : noise;
      until = Math.min(until, group.settles(g, length, sill));
      if (reach <= sill || ringing?.stays(g, z, level, sill)) continue;
      if (level >= -noise) sill += group.drift(g, length * matrices.tick);
      if (reach <= sill) continue;
      if (this.sill.length < count) this.sill = new Float64Array(count);
      this.sill[g] = sill;
      suspects ??= [];
      suspects.push(g);
    }
    if (violated) return { after: 0, guards: violated };
    // Rounding of what was large before the leap hides no crossing after that has been forgotten.
    const early = until < length ? { after: until, guards: [] } : undefined;
    if (!suspects) return early;
    const a = this.probes.at(0);
    const b = this.probes.at(1);
    this.probes.stay(a, d);
    this.probes.go(b, until, recurs && !early);
    if (!this.probes.bounded(b.z)) {
      const last = this.probes.last(until);
      if (last === 0) return undefined;
      this.probes.go(b, last);
      return this.scan(a, b, suspects, 2) ?? { after: last, guards: [] };
    }
    const found = this.scan(a, b, suspects, 2);
    group.saw(suspects, b.z, found ? found.after : until);
    if (!found && !early) group.reached = b.z;
    return found ?? early;
  }

  /** The first crossing between two instants among the guards still open; `depth` probes are in use. */
  private scan(
    a: LeapProbe,
    b: LeapProbe,
    suspects: readonly number[],
    depth: number,
  ): FirstCrossing | undefined {
    // Nothing has crossed before a.
    const tired = this.probes.taken > mostLooks && a.n > 0;
    if (tired) this.short++;
    if (tired || (!b.finite && a.n > 0)) return { after: a.n, guards: [] };
    let open: number[] | undefined;
    let found: { after: number; guards: number[] } | undefined;
    for (let i = 0; i < suspects.length; i++) {
      const g = suspects[i];
      const course = this.course(a, b, g);
      if (course === "low") continue;
      if (course === "open") {
        open ??= [];
        open.push(g);
        continue;
      }
      const crest = course === "crest" ? this.crest(a, b, g, depth) : b;
      if (!crest) continue;
      const root = rootBetween(this.group, a, crest, g, course === "crest" ? depth + 1 : depth);
      if (!found || root < found.after) found = { after: root, guards: [g] };
      else if (root === found.after) found.guards.push(g);
    }
    if (found) {
      const { after } = found;
      if (!open) return found;
      // One of the others may have crossed before it.
      if (after >= b.n) return this.halves(a, b, open, depth, found);
      const until = this.probes.at(depth);
      this.probes.go(until, after);
      return this.halves(a, until, open, depth + 1, found);
    }
    return open && this.halves(a, b, open, depth, undefined);
  }

  /**
   * How a guard moves between two instants: `low`, it does not cross; `rising` through its level, once; over a `crest`,
   * once; or `open`.
   */
  private course(a: LeapProbe, b: LeapProbe, g: number): "low" | "rising" | "crest" | "open" {
    const { group, up, down } = this;
    const sill = this.sill[g];
    const from = group.level(g, a.z);
    const { bounds, ringing, matrices } = group;
    const within = bounds.closely(b.n - a.n);
    const rise = riseOf(within, g, a.d, a.ways(1));
    if (from + rise <= sill || rise <= sill) return "low";
    if (ringing) {
      ringing.begin(a.d, within, (b.n - a.n) * matrices.tick);
      if (ringing.stays(g, a.z, from, sill)) return "low";
    }
    const slope = group.slope(g, a.d);
    // Usually it rises all the way.
    up[1] = riseOf(within, g, a.dd, a.ways(2));
    down[1] = fallOf(within, g, a.dd, a.ways(2));
    if (b.finite && slope + down[1] - this.doubt(slope, 1) >= 0)
      return group.level(g, b.z) > sill ? "rising" : "low";
    this.bound(a, b, g, within);
    // Also where the whole rise would be rounding: a lasting rise is found later on.
    if (from + up[0] <= sill || up[0] <= sill) return "low";
    const doubt = this.doubt(slope, 1);
    if (slope + up[1] + doubt <= 0) return "low";
    if (!b.finite) return "open";
    const end = group.level(g, b.z);
    if (slope + down[1] - doubt >= 0) return end > sill ? "rising" : "low";
    const bend = group.slope(g, a.dd);
    const vague = this.doubt(bend, 2);
    if (bend + up[2] + vague <= 0) {
      if (slope <= 0) return "low";
      if (group.slope(g, b.d) < 0) return "crest";
      return end > sill ? "rising" : "low";
    }
    if (bend + down[2] - vague >= 0) {
      if (end <= sill) return "low";
      if (from < 0) return "rising";
    }
    return "open";
  }

  /**
   * How far a guard and its slopes move between two instants, bounded directly or by what the next slope allows if that is
   * tighter: where much moves together and the guard sees a difference.
   */
  private bound(a: LeapProbe, b: LeapProbe, g: number, within: Within): void {
    const { group, up, down } = this;
    const seconds = (b.n - a.n) * group.matrices.tick;
    for (let k = orders - 1; k >= 0; k--) {
      const next = a.course(k + 1);
      const ways = a.ways(k + 1);
      up[k] = riseOf(within, g, next, ways);
      down[k] = fallOf(within, g, next, ways);
      if (k === orders - 1) continue;
      const slope = group.slope(g, next);
      const doubt = this.doubt(slope, k + 1);
      const most = slope + up[k + 1] + doubt;
      const least = slope + down[k + 1] - doubt;
      const rise = most > 0 ? seconds * most : 0;
      const fall = least < 0 ? seconds * least : 0;
      if (rise < up[k]) up[k] = rise;
      if (fall > down[k]) down[k] = fall;
    }
  }

  /** What rounding may make of a slope of this order and of its bounds. */
  private doubt(slope: number, order: number): number {
    return rounding * (Math.abs(slope) + this.up[order] - this.down[order]);
  }

  /** Where a guard that bends down all the way is above its sill, or undefined; the probe is that of `depth`. */
  private crest(a: LeapProbe, b: LeapProbe, g: number, depth: number): LeapProbe | undefined {
    const { group } = this;
    const { tick } = group.matrices;
    const m = this.probes.at(depth);
    let [low, high] = [a.n, b.n];
    const rate = (at: LeapProbe) => group.slope(g, at.d) * tick;
    let at = low + Math.round((high - low) * (rate(a) / (rate(a) - rate(b))));
    for (let turn = 0; high - low > 1; turn++) {
      // Halve where Newton's steps do not converge.
      if (!(at > low && at < high) || turn > tries) at = low + Math.floor((high - low) / 2);
      this.probes.go(m, at);
      const level = group.level(g, m.z);
      if (level > this.sill[g]) return m;
      const slope = rate(m);
      // The guard stays below its tangent.
      if (level + Math.abs(slope) * (slope > 0 ? high - at : at - low) <= this.sill[g]) return undefined;
      if (slope > 0) low = at;
      else high = at;
      at = Math.round(m.n - slope / (group.slope(g, m.dd) * tick * tick));
      if (at <= low) at = low + 1;
      if (at >= high) at = high - 1;
    }
    return undefined;
  }

  /**
   * Where to split an interval: in the middle, or sooner, a little after the first expected crossing of an open guard by
   * its first derivatives. A power of two ticks, for which there are bounds.
   */
  private part(a: LeapProbe, length: number, open: readonly number[]): number {
    const { group } = this;
    const { tick } = group.matrices;
    const half = powerOfTwo(bitLength(length - 1) - 1);
    let soon = half;
    for (let i = 0; i < open.length; i++) {
      const g = open[i];
      const slope = group.slope(g, a.d) * tick;
      const bend = group.slope(g, a.dd) * tick * tick;
      const level = -group.level(g, a.z);
      // The sooner root of level = slope t + bend t²/2, where there is one.
      const root = slope * slope + 2 * bend * level;
      if (!(level > 0 && root >= 0)) continue;
      const t = (2 * level) / (slope + Math.sqrt(root));
      if (t > 0 && t < soon) soon = t;
    }
    let part = half;
    for (let k = 0; k < closest && part / 2 >= ahead * soon; k++) part /= 2;
    return Math.max(part, 1);
  }

  /** Searches both parts; `otherwise` where none of `open` crosses before the end. */
  private halves(
    a: LeapProbe,
    b: LeapProbe,
    open: readonly number[],
    depth: number,
    otherwise: FirstCrossing | undefined,
  ): FirstCrossing | undefined {
    const length = b.n - a.n;
    if (length <= 1) {
      const beyond = open.filter((g) => this.group.level(g, b.z) > this.sill[g]);
      if (beyond.length === 0) return otherwise;
      return {
        after: b.n,
        guards: otherwise && otherwise.after === b.n ? [...otherwise.guards, ...beyond] : beyond,
      };
    }
    const m = this.probes.at(depth);
    this.probes.go(m, a.n + this.part(a, length, open));
    const early = this.scan(a, m, open, depth + 1);
    if (early) return early;
    const late = this.scan(m, b, open, depth + 1);
    if (!late) return otherwise;
    if (!otherwise || late.after < otherwise.after) return late;
    return late.after > otherwise.after
      ? otherwise
      : { after: late.after, guards: [...otherwise.guards, ...late.guards].sort((x, y) => x - y) };
  }
}
