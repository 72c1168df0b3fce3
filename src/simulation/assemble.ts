// A design made ready to march: its circuit and equations, schedules of the switches that a signal or the clock commands, and
// the clock whose ticks fit all of them.
import { type Fraction, toNumber } from "../base/fraction.js";
import type { Design, PartSpec } from "../design/design.js";
import { type Algebra, System } from "../equations/system.js";
import { instants, Player } from "../signals/player.js";
import { Schedule, scheduleInstants } from "../signals/schedule.js";
import { extremes, type Wave } from "../signals/wave.js";
import { Clock } from "../stepping/clock.js";
import { Courses } from "../stepping/courses.js";
import { Inputs } from "../stepping/inputs.js";
import { type Command, circuitOf } from "./circuit.js";

/** A circuit ready to march. */
export class Assembly {
  readonly system: System;
  readonly clock: Clock;
  /** Waves by source index. */
  readonly waves: readonly Wave[];
  /** How each combination moves, for the march and for whoever looks inside its leaps. */
  readonly courses: Courses;
  /** Largest voltage and current that any source has. */
  readonly volts: number;
  readonly amperes: number;
  private readonly commands: readonly Command[];

  /**
   * @param until length of the run, s
   * @param also further instants that must be on a tick, s
   * @param algebra how matrices are kept; absent: by the size of the circuit
   */
  constructor(
    readonly design: Design,
    readonly until: Fraction,
    also: readonly Fraction[],
    algebra?: Algebra,
  ) {
    const { places, members, waves, commands } = circuitOf(design, until);
    this.waves = waves;
    this.commands = commands;
    this.system = new System(places, members, waves.length, algebra);
    this.clock = new Clock(until, [
      ...waves.flatMap((w) => instants(w)),
      ...commands.flatMap((c) => [...instants(c.wave), ...scheduleInstants(c.wave, c.close, c.open)]),
      ...members.flatMap(({ device: d }) => d.modes.flatMap((_, mode) => d.dwell?.(mode)?.lasts ?? [])),
      ...also,
    ]);
    this.courses = new Courses(this.inputs(), this.clock);
    this.volts = largest(design.parts, "V");
    this.amperes = largest(design.parts, "A");
  }

  /** The sources, ready to be played from the start; each reader of a run needs its own. */
  inputs(): Inputs {
    const { tick } = this.clock;
    return new Inputs(
      this.waves.map((wave) => new Player(wave, tick)),
      this.commands.map(({ part, wave, close, open, inverted }) => ({
        part,
        schedule: new Schedule(wave, tick, close, open, inverted),
      })),
    );
  }
}

function largest(parts: readonly PartSpec[], unit: "V" | "A"): number {
  let most = 0;
  const take = (x: number) => {
    most = Math.max(most, Math.abs(x));
  };
  for (const part of parts) {
    const kind = part.kind.word;
    const source =
      kind === "current" ? "A" : ["supply", "signal", "voltage"].includes(kind) ? "V" : undefined;
    if (source === unit) {
      if (part.value) take(toNumber(part.value.value));
      if (part.wave) {
        const { low, high } = extremes(part.wave);
        take(low);
        take(high);
      }
    }
    const starts = part.amounts.get("starts");
    if (starts && unit === (kind === "inductor" ? "A" : "V")) take(toNumber(starts.value));
  }
  return most;
}
