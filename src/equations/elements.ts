// The elements that stand for the parts in one combination of modes: what each device stamps, kept as a list
// with the part it came from. Reactive elements keep their state index in every combination.
import type { Coil, Level, Place, Stamp, Steer } from "../parts/contract.js";

/** One element; currents count from `a` to `b`. */
export interface Element {
  readonly type: "resistor" | "hold" | "push" | "capacitor" | "inductor";
  /** Index of the part it stands for. */
  readonly part: number;
  readonly a: Place;
  readonly b: Place;
  /** Ohms of a resistor or in series with a held voltage; farads; henries. */
  readonly size: number;
  /** Of `hold` and `push`. */
  readonly level: Level;
  /** Of `hold` and `push`: what steers them in addition. */
  readonly steer?: Steer;
  /** Of capacitors and inductors. */
  readonly state: number;
  /** Of these, the charge at zero volts or the flux at zero current. */
  readonly rest: number;
  /** Of these, the energy there, J. */
  readonly energy: number;
}

/** The fields that a part gives for an element; the others have defaults. */
type Stamped = Pick<Element, "type" | "a" | "b"> & Partial<Element>;

/** Two coils that share flux: what the current of one adds to the flux of the other, H. */
export interface Coupling {
  readonly one: number;
  readonly other: number;
  readonly henries: number;
}

const none: readonly never[] = [];

/** Collects what one device stamps in one mode. */
export class Collector implements Stamp {
  // Lists of exactly what they hold: most parts of a large circuit stamp one element and nothing else.
  elements: readonly Element[] = none;
  couplings: readonly Coupling[] = none;
  private sizes: readonly number[] = none;

  /**
   * @param part index of the part
   * @param firstState index of its first state
   */
  constructor(
    private readonly part: number,
    private readonly firstState: number,
  ) {}

  /** Stamps an ideal connection in place of a part that is short. */
  short(a: Place, b: Place): void {
    this.hold(a, b, 0, 0);
  }

  resistor(a: Place, b: Place, ohms: number): void {
    if (ohms === Number.POSITIVE_INFINITY) return;
    if (ohms === 0) this.short(a, b);
    else this.add({ type: "resistor", a, b, size: ohms });
  }

  hold(a: Place, b: Place, level: Level, ohms = 0, steer?: Steer): void {
    this.add({ type: "hold", a, b, size: ohms, level, steer });
  }

  push(a: Place, b: Place, level: Level, steer?: Steer): void {
    this.add({ type: "push", a, b, level, steer });
  }

  capacitor(a: Place, b: Place, farads: number, rest = 0, energy = 0): void {
    this.remember({ type: "capacitor", a, b, size: farads, rest, energy });
  }

  inductor(a: Place, b: Place, henries: number, rest = 0): Coil {
    return this.remember({ type: "inductor", a, b, size: henries, rest });
  }

  mutual(one: Coil, other: Coil, coupling: number): void {
    if (!(Math.abs(coupling) < 1)) throw new RangeError(`coils coupled by ${coupling}, not less than 1`);
    if (coupling === 0) return;
    const [L1, L2] = [this.sizes[one - this.firstState], this.sizes[other - this.firstState]];
    this.couplings = [...this.couplings, { one, other, henries: coupling * Math.sqrt(L1 * L2) }];
  }

  private remember(element: Stamped & { readonly size: number }): number {
    const state = this.firstState + this.sizes.length;
    this.sizes = [...this.sizes, element.size];
    this.add({ ...element, state });
    return state;
  }

  private add({ type, a, b, size = 0, level = 0, state = -1, steer, rest = 0, energy = 0 }: Stamped): void {
    const element = { type, part: this.part, a, b, size, level, steer, state, rest, energy };
    this.elements = this.elements.length === 0 ? [element] : [...this.elements, element];
  }
}
