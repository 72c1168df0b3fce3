// Makes the device of a part by its kind, and tries a device whose kind is not built in: it must keep the contract in every
// mode before a run trusts it.
import type { Report } from "../base/diagnostic.js";
import type { Fraction } from "../base/fraction.js";
import type { Device, Guard, Level, Place, Stamp } from "../parts/contract.js";
import type { PartSpec } from "./design.js";

// Shared: most of the parts of a large circuit have neither.
const noAmounts: ReadonlyMap<string, Fraction> = new Map();
const noFlags: ReadonlySet<string> = new Set();

/**
 * The device of a part.
 * @param level the level of the waveform that it follows, if any
 * @param inner makes a new place inside the part
 */
export function deviceOf(part: PartSpec, level: Level | undefined, inner: () => Place): Device {
  return part.kind.make({
    tail: part.tail,
    head: part.head,
    value: part.value?.value,
    level,
    amounts:
      part.amounts.size === 0
        ? noAmounts
        : new Map([...part.amounts].map(([word, amount]) => [word, amount.value])),
    places: part.places,
    flags: part.flags ?? noFlags,
    control: part.control,
    inner,
  });
}

/** The most modes of a device: they are counted in a byte. */
const mostModes = 256;

/** Reports where the device of a part breaks the contract. @param count places of the design */
export function tryDevice(part: PartSpec, count: number, report: Report): void {
  const { kind, name, wave } = part;
  let places = count;
  let message: string | undefined;
  try {
    const device = deviceOf(part, wave && { source: 1 }, () => places++);
    message = broken(device, () => places);
  } catch (error) {
    message = `fails: ${error}`;
  }
  if (message === undefined) return;
  report.error("bad-kind", `what kind '${kind.word}' makes of '${name}' ${message}`, part.span);
}

/** How a device breaks the contract; undefined if it keeps it. */
function broken(device: Device, places: () => number): string | undefined {
  const { modes } = device;
  if (!Array.isArray(modes) || modes.length === 0) return "has no modes";
  if (modes.length > mostModes) return `has ${modes.length} modes, allowed are ${mostModes}`;
  let states: string | undefined;
  // Only modes that can be entered are tried: others may rest on values that the part does not give. A set is walked as it grows.
  const entered = new Set([0]);
  for (const mode of entered) {
    const called = modes[mode];
    const trial = new Trial();
    device.stamp(mode, trial);
    const stray = trial.wrong ?? trial.places.find((place) => !(place >= 0 && place < places()));
    if (stray !== undefined)
      return `stamps ${stray} in mode '${called}', where no number like that can stand`;
    // Every mode remembers the same things.
    states ??= trial.states.join();
    if (trial.states.join() !== states) return `stamps other capacitors or inductors in mode '${called}'`;
    const next = [...device.guards(mode), ...[device.dwell?.(mode) ?? []].flat()];
    if (next.some(({ to }) => !(Number.isInteger(to) && to >= 0 && to < modes.length)))
      return `leads from mode '${called}' to one that is not there`;
    for (const { to } of next) entered.add(to);
    for (const closed of device.obey ? [true, false] : []) entered.add(device.obey!(mode, closed));
    for (const { of, level } of device.guards(mode) as Guard[]) {
      if (Number.isNaN(level)) return `has a guard at ${level} in mode '${called}'`;
      if ("element" in of && !(of.element < trial.elements))
        return `watches element ${of.element} in mode '${called}', which stamps ${trial.elements}`;
    }
  }
  return undefined;
}

/** What a device stamps in one mode. */
class Trial implements Stamp {
  elements = 0;
  readonly states: string[] = [];
  readonly places: number[] = [];
  /** Set to NaN once a stamp holds one. */
  wrong: number | undefined;

  resistor(a: Place, b: Place, ohms: number): void {
    // An infinite resistance is no element at all.
    if (ohms !== Number.POSITIVE_INFINITY) this.add(a, b, ohms);
  }

  hold(a: Place, b: Place, level: Level, ohms = 0): void {
    this.add(a, b, typeof level === "number" ? level : 0, ohms);
  }

  push(a: Place, b: Place, level: Level): void {
    this.add(a, b, typeof level === "number" ? level : 0);
  }

  capacitor(a: Place, b: Place, farads: number, rest = 0, energy = 0): void {
    this.add(a, b, farads, rest, energy);
    this.states.push("capacitor");
  }

  inductor(a: Place, b: Place, henries: number, rest = 0): number {
    this.add(a, b, henries, rest);
    return this.states.push("inductor") - 1;
  }

  mutual(): void {}

  private add(a: Place, b: Place, ...numbers: readonly number[]): void {
    this.elements++;
    this.places.push(a, b);
    this.wrong ??= numbers.find(Number.isNaN);
  }
}
