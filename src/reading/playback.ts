// The state of the circuit at any recorded instant: from the recorded states, the sources played again, and the equations of each
// combination of modes. Within a leap the state is computed from its first sample with the matrices of the march; within a step
// it is unknown.

import type { Assembly } from "../assembly/assemble.js";
import type { Condensed } from "../equations/condense.js";
import type { Combination } from "../equations/system.js";
import type { Inputs } from "../stepping/inputs.js";
import { multiplyRows } from "../stepping/products.js";
import { MissingStates } from "./missing.js";
import { RailModes } from "./rails.js";
import type { Recording, Stretch } from "./recording.js";
import { everyState } from "./samples.js";

/** State, levels and derivatives at one instant. */
export interface Moment {
  readonly equations: Condensed;
  readonly x: Float64Array;
  /** Levels, slopes and bends of the sources. */
  readonly u: Float64Array;
  readonly du: Float64Array;
  readonly ddu: Float64Array;
  /** x' */
  readonly dx: Float64Array;
}

/** Plays a recording. */
export class Playback {
  private readonly inputs: Inputs;
  private readonly rails: RailModes;
  private readonly missing: MissingStates;
  private readonly x: Float64Array;
  private readonly u: Float64Array;
  private readonly du: Float64Array;
  private readonly ddu: Float64Array;
  private readonly dx: Float64Array;
  // z at the start of the stretch entered last, and within it; and whether its leap recurs.
  private index = -1;
  private start = new Float64Array(0);
  private z = new Float64Array(0);
  private recurs = false;

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
  ) {
    this.inputs = assembly.inputs();
    this.rails = new RailModes(assembly.system);
    this.missing = new MissingStates(assembly, recording, this.inputs);
    const { size } = this.inputs;
    const nx = assembly.system.states.length;
    this.x = new Float64Array(nx);
    this.dx = new Float64Array(nx);
    this.u = new Float64Array(size);
    this.du = new Float64Array(size);
    this.ddu = new Float64Array(size);
  }

  /** The moment at a tick of a stretch, as it is reached (side 0) or left (1). Its arrays are reused. */
  at(stretch: Stretch, tick: number, side: 0 | 1): Moment {
    const { recording, x, u, du, ddu, dx } = this;
    const { index, end, from, to } = stretch;
    const at = this.assembly.system.combinations[recording.mode(index)];
    if (tick === from || tick === to) {
      const sample = tick === from ? index : end;
      this.missing.complete(sample, everyState);
      recording.read(sample, x);
    } else this.inside(stretch, at, tick);
    const { inputs } = this;
    inputs.place(tick, side, { u, du });
    inputs.bends(tick, side, ddu);
    if (at.equations.dependent.length > 0) at.equations.follow(x, u);
    const { drives, nu, B, rowsOfA } = at.equations;
    multiplyRows(rowsOfA, x, dx);
    for (let k = 0; k < dx.length; k++) dx[k] += B[k * nu];
    for (const { source, row, B: levels, D: slopes } of drives)
      for (let p = 0; p < row.length; p++) dx[row[p]] += levels[p] * u[source] + slopes[p] * du[source];
    const { equations } = this.rails.at(at, x, u, du);
    return { equations, x, u, du, ddu, dx };
  }

  /** The state within a leap, into x. */
  private inside({ index, from, to }: Stretch, at: Combination, tick: number): void {
    const { recording, inputs, x } = this;
    const { motion, matrices } = this.assembly.courses.of(at);
    if (index !== this.index) {
      this.index = index;
      this.missing.complete(index, everyState);
      if (this.start.length !== motion.width) {
        this.start = new Float64Array(motion.width);
        this.z = new Float64Array(motion.width);
      }
      motion.drive(inputs, from, 1, this.start);
      recording.read(index, this.start);
      this.recurs = inputs.recurs(from, to, motion.voices);
    }
    this.z.set(this.start);
    matrices.leap(this.z, tick - from, this.recurs);
    x.set(this.z.subarray(0, x.length));
  }
}
