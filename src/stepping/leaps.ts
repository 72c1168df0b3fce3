// From edge to edge by leaps. Between two corners a group of states is one straight system, so one product carries it
// over, whatever the length, unless a guard crosses before (leapwatch.ts). Groups know nothing of each other: each is
// carried on at its own corners and events, and where events of others change it; in between only one thing is known,
// that nothing crosses.
// Always: a leap ends only at a corner of a source that is live in its group, at an event that changes the group, or at
// the end of the run; a sample says which states stand at its tick.
import type { Combination } from "../equations/system.js";
import type { Clock } from "./clock.js";
import type { Courses } from "./courses.js";
import { ascending } from "./flips.js";
import { type Grouping, Groupings } from "./groupings.js";
import type { GroupState } from "./groupstate.js";
import type { Inputs } from "./inputs.js";
import type { Integrator, IntegratorHost, Marched } from "./integrator.js";
import { Landings, motionsAt } from "./landings.js";
import { LeapWatch, worth } from "./leapwatch.js";
import { copyEntries, type Instant } from "./products.js";
import { Standing } from "./standing.js";
import type { GuardCrossing } from "./tangent.js";

const none: readonly number[] = [];

/** Moves by leaps. */
export class Leaps implements Integrator {
  n = 0;
  given = 0;
  /** The last tick probed; the caller resets it. */
  ahead = 0;
  readonly now: Instant;
  readonly rejected = 0;
  readonly exact = true;
  readonly swing: Float64Array;
  readonly sizes: Float64Array;
  private readonly standing: Standing;
  private grouping: Grouping | undefined = undefined;
  private readonly groupings: Groupings;
  /** The tick at which the whole state was last asked for: it may have been changed since. */
  private asked = -1;
  private readonly watch = new LeapWatch();
  /** The last leap that landed. */
  private length = 0;
  private recurs = false;
  private readonly landings = new Landings();
  /** The last tick reported. */
  private stood = 0;

  private readonly inputs: Inputs;
  private readonly clock: Clock;
  private readonly courses: Courses;

  /** @param derived whether derivatives of the state by its start are carried along */
  constructor(
    { system, inputs, clock, courses }: Marched,
    private readonly host: IntegratorHost,
    private readonly derived: boolean,
  ) {
    this.inputs = inputs;
    this.clock = clock;
    this.courses = courses;
    this.standing = new Standing(system.states.length, inputs, host);
    this.now = this.standing.now;
    this.swing = this.standing.swing;
    this.sizes = this.standing.sizes;
    this.groupings = new Groupings(courses);
  }

  get at(): Combination {
    return this.grouping!.at;
  }

  get toil(): number {
    return worth * this.watch.short;
  }

  get matrices(): number {
    return this.courses.matrices;
  }

  /** How often the largest size of anything has grown. */
  get grown(): number {
    return this.standing.grown;
  }

  /** Goes on so many ticks later, from a rest, as if only time had passed. */
  shift(ticks: number): void {
    this.n += ticks;
    // The position within a source follows from the tick alone.
    this.standing.restart(this.n);
    for (const group of this.grouping!.groups) group.stand(this.n);
    this.asked = -1;
  }

  rest(): void {
    this.given = 0;
    let landed = false;
    for (const group of this.grouping!.groups) {
      if (group.from === this.n) group.stand(this.n);
      else {
        this.land(group);
        landed = true;
      }
    }
    if (landed) this.host.kept(false, this.landings.carry);
  }

  leave(to: Combination): void {
    const { going } = this.groupings.passage(this.grouping!, this.groupings.of(to));
    this.given = 0;
    let landed = false;
    for (let k = 0; k < going.length; k++) {
      if (going[k].from === this.n) continue;
      this.land(going[k]);
      landed = true;
    }
    if (landed) this.host.kept(false, this.landings.carry);
  }

  enter(at: Combination): void {
    const { groupings, grouping: before, n } = this;
    const grouping = groupings.of(at);
    const { groups } = grouping;
    this.given = 0;
    // Settling may have changed any state.
    const fresh = !before || this.asked === n;
    const coming = fresh ? [...groups.keys()] : groupings.passage(before, grouping).coming;
    for (let k = 0; k < coming.length; k++) {
      const group = groups[coming[k]];
      // A group begun to evaluate its guards stays begun.
      if (fresh || group.from !== n || !group.aimed) this.begin(group);
      else group.recall(this.sizes);
      this.given |= group.mask;
      this.standing.give(group);
    }
    this.grouping = grouping;
    if (!this.derived) return;
    // Their sources move to the stretches that begin here.
    this.corner();
    motionsAt(grouping.groups, this.n, this.now.f);
  }

  sync(): void {
    this.standing.sync(this.n);
    this.asked = this.n;
  }

  state(): Float64Array {
    const { x } = this.now;
    for (let k = 0; k < x.length; k++) this.standing.freshen(k, this.n);
    return x;
  }

  corner(): number {
    let first = this.clock.end;
    for (const group of this.grouping!.groups) {
      if (!group.aimed) this.aim(group);
      if (group.corner < first) first = group.corner;
    }
    return first;
  }

  turn(): boolean {
    let jumps = false;
    for (const group of this.grouping!.groups)
      if (group.from === this.n && this.standing.turn(group, this.n)) jumps = true;
    return jumps;
  }

  toward(edge: number): readonly number[] {
    const { groups, guards } = this.grouping!;
    let first = edge;
    if (edge > this.ahead) this.ahead = edge;
    this.stood = this.n;
    for (const group of groups) {
      if (!group.aimed) this.aim(group);
      if (group.clear < edge && group.hit > edge) this.plan(group, edge);
      if (group.hit < first) first = group.hit;
    }
    this.n = first;
    this.given = 0;
    let found: number[] | undefined;
    let landed = first === this.clock.end;
    const all = first === this.clock.end;
    for (let i = 0; i < groups.length; i++) {
      const group = groups[i];
      if (!all && group.hit !== first && group.corner !== first) continue;
      if (group.hit === first)
        for (const g of group.hits) {
          found ??= [];
          found.push(guards[i][g]);
        }
      if (group.from === first) continue;
      this.land(group);
      landed = true;
    }
    if (landed) this.host.kept(false, this.landings.carry);
    return ascending(found);
  }

  violated(at: Combination): readonly number[] {
    const { n, groupings } = this;
    const grouping = groupings.of(at);
    const { groups } = grouping;
    const { staying, coming } = groupings.passage(this.grouping!, grouping);
    let found: number[] | undefined;
    // A group under way is known not to cross here, unless it has just come to a corner or event of its own.
    for (let k = 0; k < staying.length; k++)
      if (groups[staying[k]].from >= n) found = this.judged(grouping, staying[k], found);
    for (let k = 0; k < coming.length; k++) {
      const group = groups[coming[k]];
      if (!group.known) this.begin(group);
      found = this.judged(grouping, coming[k], found);
    }
    return ascending(found);
  }

  /** Adds the guards of one group that are violated. */
  private judged({ groups, guards }: Grouping, i: number, found: number[] | undefined): number[] | undefined {
    const group = groups[i];
    if (!group.aimed && !group.known) this.aim(group);
    const own = group.violated();
    if (own.length === 0) return found;
    const all = found ?? [];
    for (let k = 0; k < own.length; k++) all.push(guards[i][own[k]]);
    return all;
  }

  crossing(g: number): GuardCrossing {
    const { groups, guards: own } = this.grouping!;
    const { guards, nx } = this.at.equations;
    const motion = new Float64Array(nx);
    motionsAt(groups, this.n, motion);
    const i = own.findIndex((some) => some.includes(g));
    return {
      motion,
      gradient: guards.X.slice(g * nx, (g + 1) * nx),
      rate: groups[i].slope(own[i].indexOf(g), groups[i].d),
    };
  }

  /** A group takes over its states as they are at the current tick. */
  private begin(group: GroupState): void {
    const { n, standing } = this;
    for (const state of group.states) standing.freshen(state, n);
    group.begin(n, this.now.x, this.sizes);
  }

  private aim(group: GroupState): void {
    group.corner = this.standing.corner(group, this.n);
    group.aim(this.inputs, Math.min(group.corner, this.clock.end) - this.n);
  }

  /** Finds how far nothing crosses in a group: at least to an edge, or to the first crossing. */
  private plan(group: GroupState, edge: number): void {
    const { n, inputs, watch } = this;
    const { from } = group;
    // Beyond the edge, look twice as far as the group has come, so that repeated watching stays cheap in total.
    const until = Math.min(Math.max(edge, n + (n - from)), group.corner, this.clock.end);
    if (until > this.ahead) this.ahead = until;
    group.recurs = inputs.recurs(from, until, group.motion.voices);
    group.looked = until;
    const found = watch.first(group, until - from, group.recurs);
    group.clear = until;
    group.hit = Number.POSITIVE_INFINITY;
    if (!found) return;
    group.clear = from + found.after;
    group.hit = group.clear;
    group.hits = found.guards;
    if (group.clear > n || from === n) return;
    // This stretch has been watched before, so a crossing here is rounding, not an event; watch again from here.
    group.hit = n;
    group.hits = none;
  }

  /** Ends a group's leap at the current tick. */
  private land(group: GroupState): void {
    const { n, inputs, standing } = this;
    const { from, z, motion, probes } = group;
    this.length = n - from;
    this.recurs = group.looked === n ? group.recurs : inputs.recurs(from, n, motion.voices);
    if (this.derived) this.landings.add(group, this.length, this.recurs);
    copyEntries(z, group.start);
    standing.move(group, z, n, this.recurs);
    if (!probes.bounded(z)) this.overgrown(group);
    for (let k = 0; k < probes.used; k++)
      if (probes.at(k).n <= this.n - from) standing.see(group, probes.at(k).z);
    probes.begin();
    standing.write(group, z, this.n);
    standing.see(group, z);
    group.remember(this.n - from, this.sizes);
    group.stand(this.n);
    this.given |= group.mask;
  }

  /** Ends the run at the last tick at which a group was within bounds; states at zero that could grow are not to blame. */
  private overgrown(group: GroupState): void {
    const { from, matrices, z, start } = group;
    // Repeat the leap without zeros, so that only the state that grew stands out.
    matrices.careful = true;
    z.set(start);
    matrices.leap(z, this.length, this.recurs);
    group.motion.follow(z);
    matrices.careful = false;
    const { beyond } = group;
    const last = from + group.back(this.n - from);
    this.n = Math.max(last, this.stood);
    if (last > this.stood) {
      [this.length, this.recurs] = [last - from, false];
      // Other groups may already be ahead.
      if (this.grouping!.groups.length === 1) return;
      this.standing.write(group, group.z, this.n);
      this.given = group.mask;
      this.host.kept(false, this.landings.carry);
    }
    this.host.astray(beyond);
  }
}
