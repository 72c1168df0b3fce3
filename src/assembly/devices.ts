// A design as devices: what each part is in the equations, the waves that its sources follow, and the switches that a signal
// or the clock commands. Parts keep their order; sources that follow a wave are numbered from 1 in that order.
import { type Fraction, one, ratio, toNumber, zero } from "../base/fraction.js";
import { type Design, holdsAlone } from "../design/design.js";
import { deviceOf } from "../design/devicetrial.js";
import type { Member } from "../equations/system.js";
import type { Control, Device, Level } from "../parts/contract.js";
import { tightest } from "../parts/coupling.js";
import { decidable } from "../signals/packeddecisions.js";
import { constant, pulse, type Wave } from "../signals/wave.js";

/** The command of a switch to close: a wave compared with two levels. */
export interface SwitchCommand {
  readonly part: number;
  readonly wave: Wave;
  readonly close: Fraction;
  readonly open: Fraction;
  readonly inverted: boolean;
}

/** The parts of a design, ready for the equations. */
interface Circuit {
  /** Number of all places, including ground and those inside parts, and of those named by the design. */
  readonly places: { readonly all: number; readonly named: number };
  readonly members: readonly Member[];
  /** Waves by source index. */
  readonly waves: readonly Wave[];
  readonly commands: readonly SwitchCommand[];
}

/** @param until length of the run, s */
export function circuitOf(design: Design, until: Fraction): Circuit {
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
    if (holdsAlone(part)) waveAt.set(part.tail, part.wave ?? constant(part.value!.value));
    return deviceOf(part, level, inner);
  });
  const commands: SwitchCommand[] = [];
  let numbers: Map<string, number> | undefined;
  const members: Member[] = design.parts.map((part, i) => {
    const device = devices[i];
    const command = part.fault ? undefined : commandOf(i, device.control, waveAt, until);
    if (command) commands.push(command);
    const { name, tail, head, fault, kind } = part;
    const { drives, delivers } = kind;
    const member = { name, device, tail, head, fault, drives, delivers, scheduled: command !== undefined };
    if (!part.couples) return member;
    numbers ??= new Map(design.parts.map(({ name }, k) => [name, k]));
    const [one, other] = part.couples.map((coil) => numbers!.get(coil)!) as [number, number];
    return { ...member, couples: { one, other, share: tightest(toNumber(part.value!.value)) } };
  });
  return { places: { all: places, named: design.places.length }, members, waves, commands };
}

function commandOf(
  part: number,
  control: Control | undefined,
  waveAt: ReadonlyMap<number, Wave>,
  until: Fraction,
): SwitchCommand | undefined {
  if (!control) return undefined;
  if (control.type === "times") {
    // Nothing is seen before time zero or after the end, so a window that is open on one side extends beyond it.
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
  // A carrier that swings through a level crosses it at irrational instants, which the march must find.
  return decidable(wave, close, open) ? { part, wave, close, open, inverted } : undefined;
}
