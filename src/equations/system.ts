// The circuit as the march sees it: devices, their states, and the condensed equations of each combination of
// modes, made when first met and kept.
import type { Device } from "../parts/contract.js";
import { Condensed, type PartGuard } from "./condense.js";
import { Collector } from "./elements.js";
import { Fault } from "./topology.js";

/** A part as it goes into the equations. */
export interface Member {
  readonly name: string;
  readonly device: Device;
  readonly tail: number;
  readonly head: number;
  /** A part that a case takes out or bridges. */
  readonly fault?: "open" | "short";
  /** Its current is the one that leaves at its head: see `Kind.drives`. */
  readonly drives?: boolean;
  /** It is a source. */
  readonly delivers?: boolean;
  /** True where the control of the switch is known before the run. */
  readonly scheduled: boolean;
}

/** A state: the voltage of a capacitor or the current of an inductor. */
export interface State {
  readonly part: number;
  readonly type: "capacitor" | "inductor";
  /** Farads or henries. */
  readonly size: number;
  /** What the part is given at the start. */
  readonly initial?: number;
}

/** A combination of modes: its condensed equations, and the number it is recorded under. */
export interface Combination {
  readonly index: number;
  readonly modes: Uint8Array;
  readonly equations: Condensed;
}

/** How matrices are kept. */
export type Algebra = "dense" | "sparse";

/** States from which the sparse matrices are quicker; measured by `npm run bench`. */
export const sparseFrom = 32;

/** All parts of a circuit and the equations of every combination of modes met so far. */
export class System {
  readonly states: readonly State[];
  readonly combinations: Combination[] = [];
  private readonly byKey = new Map<string, Combination | Fault>();
  private readonly sizes: Float64Array;

  /** True where matrices are kept without their zeros. */
  readonly thin: boolean;

  /**
   * @param algebra dense or sparse matrices; absent: by the number of states
   * @param places number of places, ground included
   * @param members parts in the order of the design
   * @param sources number of sources that vary
   */
  constructor(
    readonly places: number,
    readonly members: readonly Member[],
    readonly sources: number,
    algebra?: Algebra,
  ) {
    const collected = this.collect(new Uint8Array(members.length));
    const states: State[] = [];
    for (const e of collected.elements) {
      if (e.type !== "capacitor" && e.type !== "inductor") continue;
      const initial = members[e.part]!.device.initial;
      states[e.state] = { part: e.part, type: e.type, size: e.size, initial };
    }
    this.states = states;
    this.sizes = Float64Array.from(states, (s) => s.size);
    this.thin = algebra ? algebra === "sparse" : states.length >= sparseFrom;
  }

  /** Memory that the equations of one combination take, about, in bytes: rows over all states and sources. */
  get bytes(): number {
    const columns = this.states.length + this.sources + 1;
    return 8 * columns * (this.places + 2 * this.members.length + 5 * this.states.length);
  }

  /** The equations of a combination. @throws Fault where it has no solution. */
  combination(modes: Uint8Array): Combination {
    const key = String.fromCharCode(...modes);
    const known = this.byKey.get(key);
    if (known instanceof Fault) throw known;
    if (known) return known;
    const guards: PartGuard[] = this.members.flatMap((member, part) =>
      member.fault
        ? []
        : member.device
            .guards(modes[part]!)
            .filter((guard) => !(guard.control && member.scheduled))
            .map((guard) => ({ part, guard })),
    );
    const { elements } = this.collect(modes);
    let equations: Condensed;
    try {
      equations = new Condensed(this.places, this.sizes, this.sources + 1, elements, guards, this.thin);
    } catch (error) {
      if (error instanceof Fault) this.byKey.set(key, error);
      throw error;
    }
    const made = { index: this.combinations.length, modes: modes.slice(), equations };
    this.combinations.push(made);
    this.byKey.set(key, made);
    return made;
  }

  /** Modes that a part's own voltage and current can lead it to from the one it is in; none for a control. */
  ways(part: number, mode: number): number[] {
    const { device, fault } = this.members[part]!;
    if (fault) return [];
    return device.guards(mode).flatMap((guard) => (guard.control ? [] : [guard.to]));
  }

  private collect(modes: Uint8Array): Collector {
    const collector = new Collector();
    this.members.forEach(({ device, fault, tail, head }, part) => {
      if (fault === "short") collector.short(tail, head, part);
      else if (fault !== "open") collector.take(device, part, modes[part]!);
    });
    return collector;
  }
}
