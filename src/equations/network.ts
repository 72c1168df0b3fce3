// One combination of modes as a net of conductances: which places given voltages tie together, what conducts between
// them, what is pushed into them. Free capacitors stand as given voltages and free inductors as pushed currents, so
// nothing depends on the step size, and a place with a capacitor to ground is known before anything is solved. Gives
// any voltage and any element's current as a row over
//
//     states (0 … nx − 1) | sources (nx … nx + nu − 1, constants first) | what steers (from nx + nu on)
//
// where the column of a dependent state stands for its q, the current of a capacitor or the voltage of an inductor, and
// each steered element has a column for the voltage that steers it; steering.ts closes that loop.
import type { Level, Place } from "../parts/contract.js";
import type { Element } from "./elements.js";
import { Forest, incidence, loopOf } from "./forest.js";
import { Reduction } from "./reduce.js";
import { Fault } from "./topology.js";
import { Sum, type Vector } from "./vector.js";

/** A steered element and its column. */
export interface Steering {
  readonly element: Element;
  readonly column: number;
}

/** The net of one combination of modes, its voltages and currents. */
export class Network {
  /** Number of columns. */
  readonly width: number;
  readonly steered: readonly Steering[];
  private readonly columns = new Map<Element, number>();
  /** Where the resistance behind a held voltage begins: a node of its own. */
  private readonly inner = new Map<Element, number>();
  /** The tie that stands for a held element, and the element of each tie (none where a place is pinned). */
  private readonly tieOf = new Map<Element, number>();
  private readonly tied: Forest;
  private readonly net: Reduction;
  private readonly at: ReturnType<typeof incidence>;

  /**
   * @param places number of places, ground included
   * @param pins places to hold at ground because nothing else ties their part of the circuit down
   * @param bound dependent states
   * @throws Fault where given voltages and steered ones form a loop, or a conductance is beyond what doubles hold
   */
  constructor(
    places: number,
    readonly elements: readonly Element[],
    pins: readonly Place[],
    private readonly bound: ReadonlySet<number>,
    readonly nx: number,
    nu: number,
  ) {
    const steered: Steering[] = [];
    let nodes = places;
    for (const element of elements) {
      if (element.steer) {
        const column = nx + nu + steered.length;
        steered.push({ element, column });
        this.columns.set(element, column);
      }
      if (element.type === "hold" && element.size > 0) this.inner.set(element, nodes++);
    }
    this.steered = steered;
    this.width = nx + nu + steered.length;
    const sum = new Sum(this.width);
    const ties = this.ties(sum, pins);
    this.tied = this.forest(nodes, ties);
    const { from, to, siemens } = this.conductances();
    const pushed = elements.flatMap((e) => {
      if (!this.isPushed(e)) return [];
      this.addPushed(sum, e, 1);
      const row = sum.take();
      return [
        { node: e.a, row, factor: -1 },
        { node: e.b, row, factor: 1 },
      ];
    });
    // The incidence of everything whose current is known without the law of currents: what conducts and what pushes.
    const away = elements.map((e) => (this.isTie(e) ? -1 : e.a));
    const back = elements.map((e) => (this.isTie(e) ? -1 : this.far(e)));
    this.at = incidence(nodes, [away, back]);
    const { tied } = this;
    // The voltage of the lower node against the upper one.
    const rows = ties.map(({ a, row }, i) => {
      if (tied.edge[a] === i) return row;
      sum.add(row, -1);
      return sum.take();
    });
    this.net = new Reduction({
      tied,
      tie: (edge) => rows[edge],
      from,
      to,
      siemens,
      pushed,
      width: this.width,
      fault: (group) => {
        const touched = elements.filter((e) => group.includes(e.a) || group.includes(this.far(e)));
        return new Fault("ill-conditioned", partsOf(touched));
      },
    });
  }

  /** Adds v(a) − v(b), times a factor. */
  addVoltage(into: Sum, a: Place, b: Place, factor: number): void {
    this.net.addDifference(into, a, b, factor);
  }

  /** Adds the current of an element, times a factor. */
  addCurrent(into: Sum, e: Element, factor: number): void {
    const tie = this.tieOf.get(e);
    if (this.inner.has(e) || e.type === "resistor")
      this.net.addDifference(into, e.a, this.far(e), factor / e.size);
    else if (tie !== undefined) this.addTiedCurrent(into, e, tie, factor);
    else this.addPushed(into, e, factor);
  }

  /** Column of a level, and the factor on it. */
  columnOf(level: Level): [number, number] {
    return typeof level === "number" ? [this.nx, level] : [this.nx + level.source, 1];
  }

  /** Kirchhoff's current law over the nodes below the tie: what leaves them otherwise comes in through it. */
  private addTiedCurrent(into: Sum, e: Element, tie: number, factor: number): void {
    const { tied, at, elements } = this;
    const near = this.near(e);
    const below = tied.edge[near] === tie ? near : e.b;
    const way = below === near ? -factor : factor;
    for (let t = tied.first[below]; t < tied.end[below]; t++) {
      const v = tied.order[t];
      for (let p = at.start[v]; p < at.start[v + 1]; p++) {
        const other = elements[at.edges[p]];
        const far = other.a === v ? this.far(other) : other.a;
        // What stays among the nodes below is in no balance.
        if (tied.below(far, below)) continue;
        this.addCurrent(into, other, other.a === v ? way : -way);
      }
    }
  }

  private addPushed(into: Sum, e: Element, factor: number): void {
    if (e.type !== "push") into.put(e.state, factor);
    else this.addLevel(into, e, factor);
  }

  private addLevel(into: Sum, e: Element, factor: number): void {
    const [column, value] = this.columnOf(e.level);
    if (value !== 0) into.put(column, factor * value);
    if (e.steer) into.put(this.columns.get(e)!, factor * e.steer.gain);
  }

  /** The other end of an element: of a held voltage with a resistance, where the resistance ends. */
  private far(e: Element): number {
    return this.inner.get(e) ?? e.b;
  }

  /** The end at which the tie of a held element begins. */
  private near(e: Element): number {
    return this.inner.get(e) ?? e.a;
  }

  private isTie(e: Element): boolean {
    return !this.inner.has(e) && (e.type === "hold" || this.holds(e));
  }

  /** A free capacitor, or a dependent inductor. */
  private holds(e: Element): boolean {
    return (
      (e.type === "capacitor" && !this.bound.has(e.state)) ||
      (e.type === "inductor" && this.bound.has(e.state))
    );
  }

  private isPushed(e: Element): boolean {
    return e.type !== "resistor" && e.type !== "hold" && !this.holds(e);
  }

  /** Everything that gives a voltage, in the order of the elements: v(a) − v(b) is its row. */
  private ties(sum: Sum, pins: readonly Place[]): { a: number; b: number; row: Vector; e?: Element }[] {
    const ties: { a: number; b: number; row: Vector; e?: Element }[] = [];
    for (const e of this.elements) {
      if (e.type === "hold") this.addLevel(sum, e, 1);
      else if (this.holds(e)) sum.put(e.state, 1);
      else continue;
      if (this.isTie(e)) this.tieOf.set(e, ties.length);
      ties.push({ a: this.near(e), b: e.b, row: sum.take(), e });
    }
    for (const place of pins) ties.push({ a: place, b: 0, row: sum.take() });
    return ties;
  }

  private forest(nodes: number, ties: readonly { a: number; b: number; e?: Element }[]): Forest {
    const [from, to] = [ties.map(({ a }) => a), ties.map(({ b }) => b)];
    const loop = loopOf(nodes, from, to);
    if (!loop) return new Forest(nodes, from, to);
    throw new Fault("ill-conditioned", partsOf(loop.flatMap((i) => ties[i].e ?? [])));
  }

  private conductances() {
    const conducting = this.elements.filter((e) => e.type === "resistor" || this.inner.has(e));
    return {
      from: conducting.map((e) => e.a),
      to: conducting.map((e) => this.far(e)),
      siemens: conducting.map((e) => 1 / e.size),
    };
  }
}

/** The parts that some elements stand for, each once. */
export function partsOf(elements: readonly Element[]): number[] {
  return [...new Set(elements.map((e) => e.part))].sort((a, b) => a - b);
}
