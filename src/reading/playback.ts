// What a recording holds at any instant: from the recorded states, the sources played again, and the equations of each
// combination of modes. Between two samples that a leap parts, the state is worked out from the first of them with the
// matrices of the march; a step says nothing of its inside.

import type { Assembly } from "../assembly/assemble.js";
import type { Condensed } from "../equations/condense.js";
import type { Course, Courses } from "../stepping/courses.js";
import type { Inputs } from "../stepping/inputs.js";
import { multiplyRows } from "../stepping/products.js";
import { everyState, MissingStates } from "./missing.js";
import { RailModes } from "./rails.js";
import type { Recording, Stretch } from "./recording.js";

/** State, levels and derivatives at one instant. */
export interface Moment {
  readonly tick: number;
  readonly equations: Condensed;
  /** The mode of each part, by its index. */
  readonly modes: Uint8Array;
  readonly x: Float64Array;
  /** Levels, slopes and bends of the sources asked for, the others as they were. */
  readonly u: Float64Array;
  readonly du: Float64Array;
  readonly ddu: Float64Array;
  /** x' */
  readonly dx: Float64Array;
}

/** Plays a recording. */
export class Playback {
  readonly moment: Moment & { tick: number; equations: Condensed; modes: Uint8Array };
  private readonly inputs: Inputs;
  private readonly courses: Courses;
  private readonly nx: number;
  // The stretch last looked into: its course, and z at its start.
  private index = -1;
  private course: Course | undefined;
  private start = new Float64Array(0);
  private z = new Float64Array(0);
  private recurs = false;
  /** The sample whose modes hold. */
  private standing = 0;
  private readonly shown: RailModes;
  private readonly filling: MissingStates;
  private readonly every: readonly number[];

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    inputs = assembly.inputs(),
  ) {
    this.inputs = inputs;
    this.courses = assembly.courses;
    this.nx = assembly.system.states.length;
    const nu = this.inputs.size;
    this.shown = new RailModes(assembly.system);
    this.filling = new MissingStates(assembly, recording, inputs);
    this.every = Array.from({ length: nu - 1 }, (_, i) => i + 1);
    const u = new Float64Array(nu);
    u[0] = 1;
    this.moment = {
      tick: 0,
      equations: undefined as unknown as Condensed,
      modes: new Uint8Array(0) as Uint8Array,
      x: new Float64Array(this.nx),
      u,
      du: new Float64Array(nu),
      ddu: new Float64Array(nu),
      dx: new Float64Array(this.nx),
    };
  }

  /** The equations that hold from sample i on. */
  equations(i: number): Condensed {
    return this.assembly.system.combinations[this.recording.mode(i)].equations;
  }

  /** The modes of all parts from sample i on. */
  modes(i: number): Uint8Array {
    return this.assembly.system.combinations[this.recording.mode(i)].modes;
  }

  /** Stretches of some length that overlap a span of ticks, in order. */
  stretches(from: number, to: number): Generator<Stretch> {
    return this.recording.stretches(from, to);
  }

  /** Corners of sources strictly within a stretch, in order, each once. */
  corners({ from, to }: Stretch, sources: readonly number[]): number[] {
    const found = new Set<number>();
    for (const s of sources) {
      const player = this.inputs.players[s - 1];
      for (let n = player.next(from); n < to; n = player.next(n)) found.add(n);
    }
    return [...found].sort((a, b) => a - b);
  }

  /**
   * The moment at a tick of a stretch, as it is reached (side 0) or left (1). The moment is reused.
   * @param sources those whose levels are asked for
   */
  at({ index, from, to }: Stretch, tick: number, side: 0 | 1, sources: readonly number[]): Moment {
    const { recording, nx, moment, inputs } = this;
    const { x } = moment;
    this.mode(index);
    if (tick === from || tick === to) {
      const at = tick === from ? index : index + 1;
      this.filling.complete(at, everyState);
      const base = recording.base(at);
      for (let k = 0; k < nx; k++) x[k] = recording.states[base + k];
    } else this.inside(index, from, to, tick);
    return this.play(tick, side, sources, inputs);
  }

  /** The moment of one sample. */
  sample(index: number, sources: readonly number[]): Moment {
    const { recording, nx, moment } = this;
    this.mode(index);
    this.filling.complete(index, everyState);
    for (let k = 0, p = recording.base(index); k < nx; k++, p++) moment.x[k] = recording.states[p];
    return this.play(recording.tick(index), 1, sources, this.inputs);
  }

  private mode(index: number): void {
    this.standing = index;
    const { equations, modes } = this.assembly.system.combinations[this.recording.mode(index)];
    this.moment.equations = equations;
    this.moment.modes = modes;
  }

  private inside(index: number, from: number, to: number, tick: number): void {
    const { recording, nx, moment, inputs } = this;
    if (index !== this.index) {
      this.index = index;
      this.filling.complete(index, everyState);
      const course = this.courses.of(this.assembly.system.combinations[recording.mode(index)]);
      const { motion } = course;
      if (this.start.length !== motion.width) {
        this.start = new Float64Array(motion.width);
        this.z = new Float64Array(motion.width);
      }
      this.course = course;
      for (const { source } of motion.voices) inputs.players[source - 1].seek(from, 1);
      motion.drive(inputs, from, this.start);
      for (let k = 0, p = recording.base(index); k < nx; k++, p++) this.start[k] = recording.states[p];
      this.recurs = inputs.recurs(from, to, motion.voices);
    }
    const { z, course } = this;
    z.set(this.start);
    course!.matrices.leap(z, tick - from, this.recurs);
    for (let k = 0; k < nx; k++) moment.x[k] = z[k];
  }

  private play(tick: number, side: 0 | 1, sources: readonly number[], inputs: Inputs): Moment {
    const { moment } = this;
    const { u, du, dx, x, equations } = moment;
    moment.tick = tick;
    const { drives, nu, B, active } = equations;
    for (const s of active) this.source(s, tick, side, inputs);
    for (const s of sources) this.source(s, tick, side, inputs);
    if (equations.dependent.length > 0) equations.follow(x, u);
    const { combinations } = this.assembly.system;
    const at = combinations[this.recording.mode(this.standing)];
    if (this.shown.alike(at)) {
      for (const s of this.every) this.source(s, tick, side, inputs);
      moment.equations = this.shown.at(at, x, u, moment.du).equations;
    }
    multiplyRows(equations.rowsOfA, x, dx);
    for (let k = 0; k < dx.length; k++) dx[k] += B[k * nu];
    for (const { source, row, B: levels, D: slopes } of drives)
      for (let p = 0; p < row.length; p++) dx[row[p]] += levels[p] * u[source] + slopes[p] * du[source];
    return moment;
  }

  private source(s: number, tick: number, side: 0 | 1, inputs: Inputs): void {
    const { u, du, ddu } = this.moment;
    const player = inputs.players[s - 1];
    player.seek(tick, side);
    u[s] = player.value(tick);
    du[s] = player.slope(tick);
    ddu[s] = player.bend(tick);
  }
}
