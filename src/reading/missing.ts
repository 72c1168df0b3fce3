// States that a sample does not give, since their group was on its way there: worked out from where it stood last, with the
// matrices of the march.

import type { Assembly } from "../assembly/assemble.js";
import type { Combination } from "../equations/system.js";
import type { Strand } from "../stepping/courses.js";
import type { Inputs } from "../stepping/inputs.js";
import type { Recording } from "./recording.js";

/** All states. */
export const everyState = -1;

/** Some states, as bits by their index. */
export function bitsOf(states: readonly number[]): number {
  return states.reduce((mask, k) => mask | (1 << k), 0);
}

/** Completes the samples of a recording. */
export class MissingStates {
  private readonly strands: Strand[][] = [];
  private readonly all: number;
  private x = new Float64Array(0);

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
      missing &= ~this.fill(i, state);
    }
  }

  /** Works out a state, and those it moves with; gives which, as bits. */
  private fill(i: number, state: number): number {
    const { recording, inputs, assembly } = this;
    const bit = 1 << state;
    let j = i;
    while (j >= 0 && (recording.given(j) & bit) === 0) j--;
    const mode = j >= 0 ? recording.mode(j) : recording.headMode(state);
    const from = j >= 0 ? recording.tick(j) : recording.headTick(state);
    const { motion, matrices } = this.strandOf(assembly.system.combinations[mode], state).course;
    const { states } = motion.group;
    if (this.x.length < motion.width) this.x = new Float64Array(motion.width);
    const z = this.x.subarray(0, motion.width);
    if (j >= 0) {
      const base = recording.base(j);
      for (let k = 0; k < states.length; k++) z[k] = recording.states[base + states[k]];
    } else for (let k = 0; k < states.length; k++) z[k] = recording.headState(states[k]);
    const to = recording.tick(i);
    if (to > from) {
      for (const { source } of motion.voices) inputs.players[source - 1].seek(from, 1);
      motion.drive(inputs, from, z);
      matrices.leap(z, to - from, inputs.recurs(from, to, motion.voices));
      motion.follow(z);
    }
    const mask = bitsOf(states);
    recording.fill(i, states, z, mask);
    return mask;
  }

  private strandOf(at: Combination, state: number): Strand {
    this.strands[at.index] ??= [];
    this.strands[at.index][state] ??= this.assembly.courses
      .strands(at)
      .find(({ course }) => course.motion.group.states.includes(state))!;
    return this.strands[at.index][state];
  }
}
