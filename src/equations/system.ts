// The circuit as the march sees it: devices, their states, and the condensed equations of each combination of
// modes, cached when first met.

import { DisjointSets } from "../base/graph.js";
import type { Device, Guard } from "../parts/contract.js";
import { ByModes } from "./bymodes.js";
import { Condensed, type PartGuard, type Stamps } from "./condense.js";
import { Collector, type Coupling, type Element } from "./elements.js";
import { footprint } from "./footprint.js";
import { alikeThroughout } from "./likeness.js";
import { Relatives } from "./relatives.js";
import { Unsolvable } from "./topology.js";

/** A part as it goes into the equations. */
export interface Member {
  readonly name: string;
  readonly device: Device;
  readonly tail: number;
  readonly head: number;
  /** A part that a case takes out or bridges. */
  readonly fault?: "open" | "short";
  /** Its current is the one that leaves at its head, see `Kind.drives`. */
  readonly drives?: boolean;
  /** Whether it is a source. */
  readonly delivers?: boolean;
  /** Whether the control of the switch is known before the run. */
  readonly scheduled: boolean;
  /** The two parts whose coils it couples, and the coupling factor. */
  readonly couples?: { readonly one: number; readonly other: number; readonly share: number };
}

/** A state: the voltage of a capacitor or the current of an inductor. */
export interface State {
  readonly part: number;
  readonly type: "capacitor" | "inductor";
  /** Farads or henries, in the part's first mode. */
  readonly size: number;
  /** The initial value of the part. */
  readonly initial?: number;
}

/** A combination of modes: its condensed equations, and its index in recordings. */
export interface Combination {
  readonly index: number;
  readonly modes: Uint8Array;
  readonly equations: Condensed;
  /** Index of its sizes of capacitors and coils: combinations with the same index have the same sizes. */
  readonly sizing: number;
  /** Neighbours met so far, by part and mode. */
  readonly near: Map<number, Combination>;
  /** By guard, the combination that it alone leads to, if met. */
  readonly led: Combination[];
}

/** The stamps of a part in one mode. */
export interface Stamped {
  readonly elements: readonly Element[];
  readonly couplings: readonly Coupling[];
  readonly guards: readonly PartGuard[];
  /** Guards that the march may leave out. */
  readonly alike: readonly PartGuard[];
  /** Modes that its own voltage and current can lead it to. */
  readonly ways: readonly number[];
}

/** How matrices are kept. */
export type Algebra = "dense" | "sparse";

/** Number of states from which sparse matrices are faster; measured by `npm run bench`. */
export const sparseFrom = 32;

/** All parts of a circuit and the equations of every combination of modes met so far. */
export class System {
  readonly states: readonly State[];
  /** Number of places, including ground and those inside parts; and of those named by the design, which come first. */
  readonly places: number;
  readonly named: number;
  private readonly begun: ReadonlySet<number>;
  readonly combinations: Combination[] = [];
  /** Those that have been looked for: the result, or why it has none. */
  private readonly met = new ByModes<Combination | Unsolvable>();
  /** The distinct sets of sizes of capacitors and coils. */
  private readonly sizings: Float64Array[] = [];
  /** See `bytes`. */
  private weight: number | undefined = undefined;
  /** Whether matrices are kept without their zeros. */
  readonly sparse: boolean;
  /** Places whose voltage no mode and no state moves: ideal sources alone hold them against ground. */
  private readonly steady: ReadonlySet<number> | undefined;
  /** The stamps of each part in each mode, cached, one part after another; where those of a part begin, and its states. */
  private readonly stamps: (Stamped | undefined)[];
  private readonly firstStamps: Int32Array;
  private readonly firstStates: Int32Array;
  /** Circuits whose equations are shared. */
  private relatives: Relatives | undefined = undefined;
  /** Parts with a coil coupled to another's, and those couplings. */
  private readonly coupled = new Set<number>();
  private readonly between: Coupling[] = [];

  /**
   * @param places number of all places, and of those with a name, ground included
   * @param members parts in the order of the design
   * @param sources number of sources that vary
   * @param algebra dense or sparse matrices; absent: by the number of states
   * @param like circuits whose equations are reused wherever the parts stamp the same
   */
  constructor(
    { all, named }: { readonly all: number; readonly named: number },
    readonly members: readonly Member[],
    readonly sources: number,
    algebra?: Algebra,
    like: readonly System[] = [],
  ) {
    [this.places, this.named] = [all, named];
    const count = members.length;
    this.firstStamps = new Int32Array(count);
    this.firstStates = new Int32Array(count);
    let modes = 0;
    for (let part = 0; part < count; part++) {
      this.firstStamps[part] = modes;
      modes += members[part].device.modes.length;
    }
    this.stamps = new Array<Stamped | undefined>(modes).fill(undefined);
    const couplings = members.flatMap(({ couples, fault }) => (couples && !fault ? couples : none));
    for (const { one, other } of couplings) this.coupled.add(one).add(other);
    const states: State[] = [];
    for (let part = 0; part < count; part++) {
      this.firstStates[part] = states.length;
      for (const e of this.stamped(part, 0).elements) {
        if (e.type !== "capacitor" && e.type !== "inductor") continue;
        states.push({ part, type: e.type, size: e.size, initial: members[part].device.initial });
      }
    }
    this.states = states;
    this.begun = new Set(states.flatMap(({ initial }, i) => (initial === undefined ? [] : [i])));
    const stateOf = (coil: number) => states.findIndex(({ part }) => part === coil);
    for (const { one, other, share } of couplings) {
      const [a, b] = [stateOf(one), stateOf(other)];
      // An open coil carries no current that could be felt.
      if (a >= 0 && b >= 0)
        this.between.push({ one: a, other: b, henries: share * Math.sqrt(states[a].size * states[b].size) });
    }
    this.steady = this.steadyPlaces();
    // Drop the stamps with guards made above, before it was known which of them count.
    for (let at = 0; at < modes; at++) if (this.stamps[at]?.guards !== none) this.stamps[at] = undefined;
    this.sparse = algebra ? algebra === "sparse" : states.length >= sparseFrom;
    this.relatives = new Relatives(
      this,
      like.filter((one) => this.resembles(one)),
    );
  }

  /** Whether a part is a coil that is coupled to another. */
  couples(part: number): boolean {
    return this.coupled.has(part);
  }

  /** The approximate memory of one combination's equations, in bytes, with all rows made. */
  get bytes(): number {
    this.weight ??= footprint(this.given(new Uint8Array(this.members.length)));
    return this.weight;
  }

  /** The equations of a combination. @throws Unsolvable where it has no solution. */
  combination(modes: Uint8Array): Combination {
    const known = this.met.get(modes);
    if (known instanceof Unsolvable) throw known;
    if (known) return known;
    const own = modes.slice();
    let equations: Condensed;
    try {
      equations = this.relatives?.equations(modes) ?? new Condensed(this.given(modes));
    } catch (error) {
      if (error instanceof Unsolvable) this.met.add(own, error);
      throw error;
    }
    const [index, sizing] = [this.combinations.length, this.sizingOf(equations.sizes)];
    const found = { index, modes: own, equations, sizing, near: new Map(), led: [] };
    this.combinations.push(found);
    this.met.add(own, found);
    return found;
  }

  /** The equations of a combination that has been met and has a solution. */
  solved(modes: Uint8Array): Condensed | undefined {
    const found = this.met.get(modes);
    return found instanceof Unsolvable ? undefined : found?.equations;
  }

  /** Shares nothing further, so that of a row of circuits only the last are kept. */
  part(): void {
    this.relatives = undefined;
  }

  /** Whether stamps decide which equations are the same as those of another circuit. */
  resembles(other: System): boolean {
    return alikeThroughout(this.frame, other.frame);
  }

  private get frame(): readonly unknown[] {
    const { places, members, sources, sparse, states, begun, between } = this;
    return [places, members.length, sources, sparse, states.length, [...begun], between];
  }

  /** As `combination`, starting from what is usually a neighbour: the result of one part's change is cached. */
  neighbour(at: Combination, modes: Uint8Array): Combination {
    const { modes: own } = at;
    let part = -1;
    for (let p = 0; p < modes.length; p++) {
      if (modes[p] === own[p]) continue;
      if (part >= 0) return this.combination(modes);
      part = p;
    }
    if (part < 0) return at;
    const key = part * 256 + modes[part];
    let found = at.near.get(key);
    if (!found) {
      found = this.combination(modes);
      at.near.set(key, found);
    }
    return found;
  }

  private sizingOf(sizes: Float64Array): number {
    const { sizings } = this;
    const known = sizings.findIndex((one) => one.every((size, k) => size === sizes[k]));
    return known >= 0 ? known : sizings.push(sizes) - 1;
  }

  /** Modes that a part's own voltage and current can lead it to from the one it is in; none for a control. */
  ways(part: number, mode: number): readonly number[] {
    return this.stamped(part, mode).ways;
  }

  /** Guards of parts in a combination whose modes move everything alike; the march leaves them out, see `Guard.alike`. */
  alike(modes: Uint8Array): readonly PartGuard[] {
    return Array.from(modes, (mode, part) => this.stamped(part, mode).alike).flat();
  }

  /** Places tied to ground by held voltages of parts with only one mode. */
  private steadyPlaces(): ReadonlySet<number> {
    const sets = new DisjointSets(this.places);
    for (let part = 0; part < this.members.length; part++) {
      const { device, fault } = this.members[part];
      if (!fault && device.modes.length > 1) continue;
      for (const e of this.stamped(part, 0).elements)
        if (e.type === "hold" && e.size === 0 && !e.steer) sets.join(e.a, e.b);
    }
    const steady = new Set<number>();
    for (let place = 0; place < this.places; place++) if (sets.find(place) === 0) steady.add(place);
    return steady;
  }

  private given(modes: Uint8Array): Stamps {
    const elements: Element[] = [];
    const couplings = this.between.slice();
    const guards: PartGuard[] = [];
    const firsts = new Int32Array(modes.length);
    for (let part = 0; part < modes.length; part++) {
      const own = this.stamped(part, modes[part]);
      firsts[part] = elements.length;
      for (const e of own.elements) elements.push(e);
      for (const coupling of own.couplings) couplings.push(coupling);
      for (const guard of own.guards) guards.push(guard);
    }
    const [nx, nu] = [this.states.length, this.sources + 1];
    return {
      places: this.places,
      nx,
      nu,
      elements,
      firsts,
      couplings,
      guards,
      sparse: this.sparse,
      begun: this.begun,
    };
  }

  /** What a part stamps in a mode. */
  stamped(part: number, mode: number): Stamped {
    const { device, fault, tail, head, scheduled } = this.members[part];
    const at = this.firstStamps[part] + mode;
    const known = this.stamps[at];
    if (known) return known;
    const into = new Collector(part, this.firstStates[part]);
    if (fault === "short") into.short(tail, head);
    // A shorted winding still has its turns on the core.
    if (!fault || (fault === "short" && this.coupled.has(part))) device.stamp(mode, into);
    const all = fault ? none : device.guards(mode);
    const { elements, couplings } = into;
    let made: Stamped = { elements, couplings, guards: none, alike: none, ways: none };
    if (all.length > 0) {
      const alike = (guard: Guard) => guard.alike?.every((place) => this.steady?.has(place)) === true;
      const asked = all.filter((guard) => !alike(guard));
      made = {
        ...made,
        guards: asked.filter((guard) => !(guard.control && scheduled)).map((guard) => ({ part, guard })),
        alike: all.filter(alike).map((guard) => ({ part, guard })),
        ways: asked.flatMap((guard) => (guard.control ? [] : [guard.to])),
      };
    }
    this.stamps[at] = made;
    return made;
  }
}

const none: readonly never[] = [];
