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
  /** Ohms of a resistor or in series with a held voltage, farads, henries. */
  readonly size: number;
  /** Of `hold` and `push`. */
  readonly level: Level;
  /** Of `hold` and `push`: what steers it besides. */
  readonly steer?: Steer;
  /** Of capacitors and inductors. */
  readonly state: number;
  /** Of these, the charge at no voltage, the flux at no current; absent: none. */
  readonly rest?: number;
  /** And the energy there, J. */
  readonly energy?: number;
}

/** Two coils that share flux: what the current of one adds to the flux of the other, H. */
export interface Coupling {
  readonly one: number;
  readonly other: number;
  readonly henries: number;
}

/** Collects what one device stamps in one mode. */
export class Collector implements Stamp {
  readonly elements: Element[] = [];
  readonly couplings: Coupling[] = [];
  private readonly sizes: number[] = [];

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
    if (ohms === 0) this.hold(a, b, 0, 0);
    else this.add("resistor", a, b, ohms, 0);
  }

  hold(a: Place, b: Place, level: Level, ohms = 0, steer?: Steer): void {
    this.add("hold", a, b, ohms, level, steer);
  }

  push(a: Place, b: Place, level: Level, steer?: Steer): void {
    this.add("push", a, b, 0, level, steer);
  }

  capacitor(a: Place, b: Place, farads: number, rest = 0, energy = 0): void {
    this.remember("capacitor", a, b, farads, rest, energy);
  }

  inductor(a: Place, b: Place, henries: number, rest = 0): Coil {
    return this.remember("inductor", a, b, henries, rest);
  }

  mutual(one: Coil, other: Coil, coupling: number): void {
    if (!(Math.abs(coupling) < 1)) throw new RangeError(`coils coupled by ${coupling}, not less than 1`);
    if (coupling === 0) return;
    const [L1, L2] = [this.sizes[one - this.firstState], this.sizes[other - this.firstState]];
    const henries = coupling * Math.sqrt(L1 * L2);
    this.couplings.push({ one, other, henries });
  }

  private remember(
    type: "capacitor" | "inductor",
    a: Place,
    b: Place,
    size: number,
    rest: number,
    energy = 0,
  ): number {
    const state = this.firstState + this.sizes.push(size) - 1;
    const { part } = this;
    const still = { ...(rest !== 0 && { rest }), ...(energy !== 0 && { energy }) };
    this.elements.push({ type, part, a, b, size, level: 0, state, ...still });
    return state;
  }

  private add(
    type: "resistor" | "hold" | "push",
    a: Place,
    b: Place,
    size: number,
    level: Level,
    steer?: Steer,
  ): void {
    const { part } = this;
    this.elements.push({ type, part, a, b, size, level, state: -1, ...(steer && { steer }) });
  }
}
