// States that a sample does not give, since their group was in mid-leap there: computed from the last sample that gives them,
// with the matrices of the march.

import type { Assembly } from "../assembly/assemble.js";
import type { Course } from "../stepping/courses.js";
import type { Inputs } from "../stepping/inputs.js";
import type { Recording } from "./recording.js";
import { bitsOf } from "./samples.js";

/** Completes the samples of a recording. */
export class MissingStates {
  /** The course of a state, by combination of modes and state. */
  private readonly courses: Course[][] = [];
  private readonly all: number;
  private x = new Float64Array(0);
  /** By state: the last sample that gives it before one asked for, and the sample up to which none gives it again. */
  private readonly known: { from: number; to: number }[] = [];

  /** @param inputs sources of the caller; their players are moved */
  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly inputs: Inputs,
  ) {
    this.all = recording.exact ? bitsOf([...assembly.system.states.keys()]) : 0;
  }

  /** Makes a sample hold some states, given as bits. */
  complete(i: number, wanted: number): void {
    let missing = wanted & this.all & ~this.recording.holds(i);
    while (missing !== 0) {
      const state = 31 - Math.clz32(missing & -missing);
      missing &= ~bitsOf(this.fill(i, state));
    }
  }

  /** Computes a state, and those of its group; returns which. */
  private fill(i: number, state: number): readonly number[] {
    const { recording, inputs } = this;
    const j = this.givenBefore(i, state);
    const before = recording.samples.lastGiven(state);
    const from = j < 0 ? before.tick : recording.tick(j);
    const { motion, matrices } = this.courseOf(j < 0 ? before.mode : recording.mode(j), state);
    const { states } = motion.group;
    if (this.x.length < motion.width) this.x = new Float64Array(motion.width);
    const z = this.x.subarray(0, motion.width);
    for (const [k, one] of states.entries())
      z[k] = j < 0 ? recording.samples.lastGiven(one).value : recording.state(j, one);
    const to = recording.tick(i);
    if (to > from) {
      motion.drive(inputs, from, 1, z);
      matrices.leap(z, to - from, inputs.recurs(from, to, motion.voices));
      motion.follow(z);
    }
    recording.fill(i, states, z);
    return states;
  }

  /**
   * The last sample up to `i` that gives a state; negative where none is kept. A state slow beside the rest is given once in tens
   * of thousands of samples, which as a rule are asked for in order.
   */
  private givenBefore(i: number, state: number): number {
    const { recording } = this;
    const { gone } = recording.samples;
    this.known[state] ??= { from: 0, to: -1 };
    const known = this.known[state];
    const [from, to] = [known.from - gone, known.to - gone];
    let j = i;
    while (j >= 0 && (recording.given(j) & (1 << state)) === 0) {
      // Nothing gives it in between.
      if (j <= to && j > from) j = Math.max(from, -1);
      else j--;
    }
    // Other states may still be added to the last sample.
    const last = Math.min(i, recording.count - 2);
    if (last > to || i < from) {
      known.from = j + gone;
      known.to = last + gone;
    }
    return j;
  }

  private courseOf(mode: number, state: number): Course {
    const { courses, system } = this.assembly;
    this.courses[mode] ??= [];
    this.courses[mode][state] ??= courses
      .strands(system.combinations[mode])
      .find(({ course }) => course.motion.group.states.includes(state))!.course;
    return this.courses[mode][state];
  }
}
