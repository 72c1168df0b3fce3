// The energy exchanged inside the leaps of a recording. A leap is parted at every corner of a source that carries power, and
// where the current of an output moves from one rail to the other (rails.ts).

import type { Assembly } from "../assembly/assemble.js";
import type { Combination } from "../equations/system.js";
import { Course } from "../stepping/courses.js";
import { wholeOf } from "../stepping/groups.js";
import type { Inputs } from "../stepping/inputs.js";
import { Motion } from "../stepping/motion.js";
import { partingShare, type Seen } from "./accuracy.js";
import { EnergyIntegral, type Exchange } from "./energy.js";
import { dot, type LeapForm } from "./leapforms.js";
import { RailModes } from "./rails.js";
import type { Recording, Stretch } from "./recording.js";
import { keepsSign, type RoundedLook, rounded, signChanges } from "./signs.js";

/** Energy exchanged in the leaps of a recording. */
export class EnergyExchanges {
  private readonly modes: ModeExchanges[] = [];
  private readonly inputs: Inputs;
  private readonly rails: RailModes;

  /** @param delivers whether what a part takes up counts as drawn from a source, by index */
  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly delivers: readonly boolean[],
  ) {
    this.inputs = assembly.inputs();
    this.rails = new RailModes(assembly.system);
  }

  /** The energy exchanged between two ticks of a stretch. @param x the states at the first */
  over({ index }: Stretch, from: number, to: number, x: Float64Array): Exchange {
    const { inputs } = this;
    const sum: Exchange = { delivered: 0, dissipated: 0, terms: 0 };
    const mode = this.mode(this.recording.mode(index));
    const { motion } = mode.course;
    mode.z.set(x);
    for (let at = from; at < to; ) {
      motion.drive(inputs, at, 1, mode.z);
      let end = to;
      for (const { source } of motion.voices) end = Math.min(end, inputs.players[source - 1].next(at));
      mode.pass(end - at, sum);
      at = end;
    }
    return sum;
  }

  private mode(index: number): ModeExchanges {
    this.modes[index] ??= this.made(this.assembly.system.combinations[index]);
    return this.modes[index];
  }

  /** A combination, with every source that carries power in its z. */
  private made(at: Combination): ModeExchanges {
    const { equations } = at;
    const { U, D, count } = equations.currents;
    const whole = wholeOf(equations);
    const sources = new Set(whole.sources);
    for (let s = 1; s < equations.nu; s++)
      for (let i = s; i < count * equations.nu; i += equations.nu)
        if (U[i] !== 0 || D[i] !== 0) sources.add(s);
    const group = { ...whole, sources: [...sources].sort((a, b) => a - b) };
    const course = new Course(0, new Motion(equations, this.inputs, group), this.assembly.clock);
    return new ModeExchanges(at, course, this.rails, this.delivers);
  }
}

/** Energy exchanged in one combination. */
class ModeExchanges {
  /** The current state. */
  readonly z: Float64Array;
  private readonly guards: readonly LeapForm[];
  /** By the signs of the guards left out. */
  private readonly integrals = new Map<string, EnergyIntegral>();
  // The start of the piece in hand, and a place within.
  private readonly start: Float64Array;
  private readonly middle: Float64Array;

  constructor(
    private readonly at: Combination,
    readonly course: Course,
    private readonly rails: RailModes,
    private readonly delivers: readonly boolean[],
  ) {
    const { width } = course.motion;
    this.z = new Float64Array(width);
    this.start = new Float64Array(width);
    this.middle = new Float64Array(width);
    this.guards = rails.forms(at, course);
  }

  /** Adds the energy exchanged in `ticks` without a corner, and moves z on by them. */
  pass(ticks: number, sum: Exchange): void {
    const { z, start, middle, guards } = this;
    const { matrices } = this.course;
    if (guards.length === 0) {
      this.integral("").over(z, ticks, sum);
      return;
    }
    start.set(z);
    // As a rule no guard changes sign: one look on the way shows it.
    const on = Math.ceil(partingShare * ticks);
    matrices.leap(z, on, false);
    middle.set(z);
    z.set(start);
    const tried: Exchange = { delivered: 0, dissipated: 0, terms: 0 };
    this.integral(this.signs(middle)).over(z, ticks, tried);
    const keeps = (guard: LeapForm) =>
      keepsSign([seenAt(guard, start, 0), seenAt(guard, middle, on), seenAt(guard, z, ticks)], matrices.tick);
    if (guards.every(keeps)) {
      sum.delivered += tried.delivered;
      sum.dissipated += tried.dissipated;
      sum.terms += tried.terms;
    } else this.parted(ticks, sum);
  }

  /** The same for a piece in which a guard left out changes sign. */
  private parted(ticks: number, sum: Exchange): void {
    const cuts = new Set<number>();
    const { tick } = this.course.matrices;
    for (const guard of this.guards)
      for (const n of signChanges((after) => this.along(guard, after), 0, ticks, tick)) cuts.add(n);
    const ends = [0, ...cuts, ticks].sort((a, b) => a - b);
    // Near a cut rounding may give a guard either sign: the middle tells which holds.
    const signs = ends.slice(1).map((end, k) => {
      this.carry(Math.floor((ends[k] + end) / 2));
      return this.signs(this.z);
    });
    this.z.set(this.start);
    for (const [k, key] of signs.entries())
      if (ends[k + 1] > ends[k]) this.integral(key).over(this.z, ends[k + 1] - ends[k], sum);
  }

  /** A guard `ticks` after the start of the piece in hand. */
  private along(guard: LeapForm, ticks: number): RoundedLook {
    this.carry(ticks);
    return rounded(guard, seenAt(guard, this.z, ticks), this.z, ticks * this.course.matrices.tick);
  }

  /** Moves z to `ticks` after the start of the piece in hand. */
  private carry(ticks: number): void {
    this.z.set(this.start);
    if (ticks > 0) this.course.matrices.leap(this.z, ticks, false);
  }

  /** Which guards left out are violated, as one digit each. */
  private signs(z: Float64Array): string {
    let signs = "";
    for (const { value, slope } of this.guards) {
      const v = dot(value, z);
      signs += v > 0 || (v === 0 && dot(slope, z) > 0) ? "1" : "0";
    }
    return signs;
  }

  private integral(signs: string): EnergyIntegral {
    let integral = this.integrals.get(signs);
    if (!integral) {
      const at = this.rails.variant(this.at, (g) => signs[g] === "1");
      integral = new EnergyIntegral(at, this.course, this.delivers);
      this.integrals.set(signs, integral);
    }
    return integral;
  }
}

function seenAt({ value, slope }: LeapForm, z: Float64Array, tick: number): Seen {
  return { tick, value: dot(value, z), slope: dot(slope, z) };
}
