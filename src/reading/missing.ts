// States that a sample does not give, since their group was on its way there: worked out from where it stood last, with the
// matrices of the march.

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
  /** By state: where it was given last before a sample that was asked for, and up to which sample nothing gives it again. */
  private readonly known: { from: number; to: number }[] = [];

  /** @param inputs sources of the caller; they are played on */
  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly inputs: Inputs,
  ) {
    this.all = recording.exact ? bitsOf([...assembly.system.states.keys()]) : 0;
  }

  /** Sees to it that a sample holds some states, given as bits. */
  complete(i: number, wanted: number): void {
    let missing = wanted & this.all & ~this.recording.holds(i);
    while (missing !== 0) {
      const state = 31 - Math.clz32(missing & -missing);
      missing &= ~bitsOf(this.fill(i, state));
    }
  }

  /** Works out a state, and those it moves with; gives which. */
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
   * The last sample up to one that gives a state; below zero where none does any more. What is slow beside the rest is given once
   * in ten thousands of samples, and is asked for in their order as a rule.
   */
  private givenBefore(i: number, state: number): number {
    const { recording } = this;
    const { gone } = recording.samples;
    this.known[state] ??= { from: 0, to: -1 };
    const known = this.known[state];
    const [from, to] = [known.from - gone, known.to - gone];
    let j = i;
    while (j >= 0 && (recording.given(j) & (1 << state)) === 0) {
      // Between both there is nothing to be found.
      if (j <= to && j > from) j = Math.max(from, -1);
      else j--;
    }
    // The last sample may yet be joined by others.
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
