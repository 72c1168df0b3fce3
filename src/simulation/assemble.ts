// A design made ready to march: devices and equations, waves in ticks, schedules of the switches that a signal
// or the clock commands, and the clock whose ticks fit all of them.
import { type Fraction, one, ratio, zero } from "../base/fraction.js";
import type { Design } from "../design/design.js";
import { type Algebra, type Member, System } from "../equations/system.js";
import type { Control, Device, Level } from "../parts/contract.js";
import { instants, Player } from "../signals/player.js";
import { Schedule, scheduleInstants } from "../signals/schedule.js";
import { decidable } from "../signals/slices.js";
import { constant, pulse, type Wave } from "../signals/wave.js";
import { Clock } from "../stepping/clock.js";
import { Courses } from "../stepping/courses.js";
import { Inputs } from "../stepping/inputs.js";

/** When a switch is commanded closed: a wave against two levels. */
interface Command {
  readonly part: number;
  readonly wave: Wave;
  readonly close: Fraction;
  readonly open: Fraction;
  readonly inverted: boolean;
}

/** A circuit ready to march. */
export class Assembly {
  readonly system: System;
  readonly clock: Clock;
  /** Waves by source index. */
  readonly waves: readonly Wave[];
  /** How each combination moves, for the march and for whoever looks inside its leaps. */
  readonly courses: Courses;
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
    const waves: Wave[] = [];
    const waveAt = new Map<number, Wave>();
    let places = design.places.length;
    const inner = () => places++;
    const devices: Device[] = design.parts.map((part) => {
      let level: Level | undefined;
      if (part.wave) {
        level = { source: waves.length + 1 };
        waves.push(part.wave);
      }
      const holds = part.head === 0 && (part.kind.word === "supply" || part.kind.word === "signal");
      // A rail that has a resistance, or lets go, need not stand where its value is.
      if (holds && part.amounts.size === 0 && !part.fault)
        waveAt.set(part.tail, part.wave ?? constant(part.value!.value));
      return part.kind.make({
        tail: part.tail,
        head: part.head,
        value: part.value?.value,
        level,
        amounts: new Map([...part.amounts].map(([word, amount]) => [word, amount.value])),
        places: part.places,
        flags: part.flags ?? new Set(),
        control: part.control,
        inner,
      });
    });
    this.waves = waves;
    const commands: Command[] = [];
    const members: Member[] = design.parts.map((part, i) => {
      const device = devices[i]!;
      const command = part.fault ? undefined : commandOf(i, device.control, waveAt, until);
      if (command) commands.push(command);
      const { name, tail, head, fault, kind } = part;
      const { drives, delivers } = kind;
      return { name, device, tail, head, fault, drives, delivers, scheduled: command !== undefined };
    });
    this.commands = commands;
    this.system = new System(places, members, waves.length, algebra);
    this.clock = new Clock(until, [
      ...waves.flatMap((w) => instants(w)),
      ...commands.flatMap((c) => [...instants(c.wave), ...scheduleInstants(c.wave, c.close, c.open)]),
      ...devices.flatMap((d) => d.modes.flatMap((_, mode) => d.dwell?.(mode)?.lasts ?? [])),
      ...also,
    ]);
    this.courses = new Courses(this.inputs(), this.clock);
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

function commandOf(
  part: number,
  control: Control | undefined,
  waveAt: ReadonlyMap<number, Wave>,
  until: Fraction,
): Command | undefined {
  if (!control) return undefined;
  if (control.type === "times") {
    // Before time zero and after the end nothing is seen: a window that is open to a side ends beyond it.
    const from = control.from.gt(zero) ? control.from : until.neg();
    const to = control.to ?? until.mul(3);
    if (!to.gt(from)) return undefined;
    const wave = pulse({ low: zero, high: one, width: to.sub(from), first: from });
    return { part, wave, close: ratio(1, 2), open: ratio(1, 2), inverted: false };
  }
  const wave = waveAt.get(control.place);
  if (!wave) return undefined;
  const inverted = control.side === "below";
  const [close, open] = inverted ? [control.open, control.close] : [control.close, control.open];
  // A carrier that swings through a level crosses it at irrational instants: the march finds those.
  return decidable(wave, close, open) ? { part, wave, close, open, inverted } : undefined;
}
