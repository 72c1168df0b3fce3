// The elements that stand for the parts in one combination of modes: what each device stamps, kept as a list
// with the part it came from. Reactive elements keep their state index in every combination.
import type { Device, Level, Place, Stamp, Steer } from "../parts/contract.js";

/** One element; currents count from `a` to `b`. */
export interface Element {
  readonly type: "resistor" | "hold" | "push" | "capacitor" | "inductor";
  /** Index of the part it stands for. */
  readonly part: number;
  readonly a: Place;
  readonly b: Place;
  /** Ohms of a resistor or in series with a held voltage, farads, henries. */
  readonly size: number;
  /** Of `hold` and `push`. */
  readonly level: Level;
  /** Of `hold` and `push`: what steers it besides. */
  readonly steer?: Steer;
  /** Of capacitors and inductors. */
  readonly state: number;
}

/** Collects what the devices stamp in one combination of modes. */
export class Collector implements Stamp {
  readonly elements: Element[] = [];
  private part = 0;
  private states = 0;

  /** Stamps one device; devices must come in the order of the parts. */
  take(device: Device, part: number, mode: number): void {
    this.part = part;
    device.stamp(mode, this);
  }

  /** Stamps an ideal connection in place of a part that is short. */
  short(a: Place, b: Place, part: number): void {
    this.part = part;
    this.hold(a, b, 0, 0);
  }

  resistor(a: Place, b: Place, ohms: number): void {
    if (ohms === Number.POSITIVE_INFINITY) return;
    if (ohms === 0) this.hold(a, b, 0, 0);
    else this.add("resistor", a, b, ohms, 0);
  }

  hold(a: Place, b: Place, level: Level, ohms = 0, steer?: Steer): void {
    this.add("hold", a, b, ohms, level, -1, steer);
  }

  push(a: Place, b: Place, level: Level, steer?: Steer): void {
    this.add("push", a, b, 0, level, -1, steer);
  }

  capacitor(a: Place, b: Place, farads: number): void {
    this.add("capacitor", a, b, farads, 0, this.states++);
  }

  inductor(a: Place, b: Place, henries: number): void {
    this.add("inductor", a, b, henries, 0, this.states++);
  }

  private add(
    type: Element["type"],
    a: Place,
    b: Place,
    size: number,
    level: Level,
    state = -1,
    steer?: Steer,
  ): void {
    this.elements.push({ type, part: this.part, a, b, size, level, state, ...(steer && { steer }) });
  }
}
