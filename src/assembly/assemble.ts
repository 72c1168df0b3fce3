// Makes a design ready to march: its circuit and equations, the schedules of switches commanded by a signal or the clock, and
// the clock whose ticks fit all of them.
import { type Fraction, zero } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import { type Algebra, System } from "../equations/system.js";
import type { Device } from "../parts/contract.js";
import { Player, tickInstants } from "../signals/player.js";
import { Schedule, scheduleInstants } from "../signals/schedule.js";
import { restingBeat } from "../signals/sinebeat.js";
import type { Wave } from "../signals/wave.js";
import { Clock } from "../stepping/clock.js";
import { Courses } from "../stepping/courses.js";
import { Inputs } from "../stepping/inputs.js";
import { March, type MarchOptions } from "../stepping/march.js";
import type { StepSink } from "../stepping/sink.js";
import { circuitOf, type SwitchCommand } from "./devices.js";
import { earlierCircuits } from "./earlier.js";

/** The parts of an assembly that do not depend on its end. */
interface Circuit {
  readonly system: System;
  /** Waves by source index. */
  readonly waves: readonly Wave[];
  readonly commands: readonly SwitchCommand[];
  readonly courses: Courses;
}

/** A circuit ready to march. */
export class Assembly {
  readonly system: System;
  /** The courses of the combinations, for the march and for whoever looks inside its leaps. */
  readonly courses: Courses;

  private constructor(
    readonly design: Design,
    readonly until: Fraction,
    readonly clock: Clock,
    private readonly circuit: Circuit,
  ) {
    this.system = circuit.system;
    this.courses = circuit.courses;
  }

  /**
   * @param until length of the run, s
   * @param also further instants that must be on a tick, s
   * @param algebra how matrices are kept; absent: by the size of the circuit
   */
  static of(design: Design, until: Fraction, also: readonly Fraction[], algebra?: Algebra): Assembly {
    const { places, members, waves, commands } = circuitOf(design, until);
    const system = new System(places, members, waves.length, algebra, earlierCircuits.all);
    const clock = new Clock(until, [
      restingBeat(waves, until) ?? zero,
      ...waves.flatMap((w) => tickInstants(w)),
      ...commands.flatMap((c) => [...tickInstants(c.wave), ...scheduleInstants(c.wave, c.close, c.open)]),
      ...members.flatMap(({ device }) => lengthsOf(device)),
      ...also,
    ]);
    const earlier = earlierCircuits.courses(system, clock.tick);
    const courses = new Courses(inputsOf(waves, commands, clock), clock, earlier);
    earlierCircuits.add(system, courses);
    return new Assembly(design, until, clock, { system, waves, commands, courses });
  }

  /**
   * The same circuit with another end and the same ticks, so that equations and matrices made for one serve the other;
   * undefined where the end is not on a tick.
   */
  ending(until: Fraction): Assembly | undefined {
    const clock = this.clock.ending(until);
    return clock && new Assembly(this.design, until, clock, this.circuit);
  }

  /** Waves by source index. */
  get waves(): readonly Wave[] {
    return this.circuit.waves;
  }

  /** A march from the start to the end. */
  march(sink: StepSink, options: MarchOptions): March {
    const { system, clock, courses } = this;
    return new March({ system, clock, courses, inputs: this.inputs() }, sink, options);
  }

  /** The sources, ready to be played from the start; each reader of a run needs its own. */
  inputs(): Inputs {
    return inputsOf(this.circuit.waves, this.circuit.commands, this.clock);
  }
}

function inputsOf(waves: readonly Wave[], commands: readonly SwitchCommand[], { tick }: Clock): Inputs {
  return new Inputs(
    waves.map((wave) => new Player(wave, tick)),
    commands.map(({ part, wave, close, open, inverted }) => ({
      part,
      schedule: new Schedule(wave, tick, close, open, inverted),
    })),
  );
}

const none: readonly never[] = [];

/** How long the modes of a device last that end by themselves, s. */
function lengthsOf(device: Device): readonly Fraction[] {
  if (!device.dwell) return none;
  return device.modes.flatMap((_, mode) => device.dwell!(mode)?.lasts ?? none);
}
