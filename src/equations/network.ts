// One combination of modes as a net of conductances: which places given voltages tie together, what conducts between
// them, what is pushed into them. Free capacitors stand as given voltages and free inductors as pushed currents, so
// nothing depends on the step size, and a place with a capacitor to ground is known before anything is solved. Gives
// any voltage and any element's current as a row over
//
//     states (0 … nx − 1) | sources (nx … nx + nu − 1) | what steers (from nx + nu on) | constant levels
//
// where each constant level has a column of its own as yet, so that two of them never cancel unseen; the column of a dependent state stands for its q, the current of a capacitor or the voltage of an inductor, and
// each steered element has a column for the voltage that steers it; steering.ts closes that loop. Elements are known
// by their index.
import type { Place } from "../parts/contract.js";
import type { Arithmetic } from "./arithmetic.js";
import type { Element } from "./elements.js";
import { Forest, incidence, loopOf } from "./forest.js";
import { StarMesh } from "./starmesh.js";
import { Unsolvable } from "./topology.js";
import { type TrackedRow, type TrackedSum, trackedSum } from "./vector.js";

/** What an element is to the net, unless it conducts. */
const ties = 1;
const pushes = 2;

/** The net of one combination of modes, its voltages and currents. */
export class Network<T> {
  /** Number of columns. */
  readonly width: number;
  private readonly sum: TrackedSum<T>;
  /** The steered elements; the first one's column is nx + nu. */
  readonly steered: readonly number[];
  /** The constant levels, and the column of the first. */
  readonly levels: readonly number[];
  readonly firstLevel: number;
  private readonly column: Int32Array;
  private readonly levelColumn: Int32Array;
  private readonly role: Uint8Array;
  /** Where an element begins and ends: a resistance behind a held voltage ends at a node of its own. */
  private readonly from: number[];
  private readonly to: number[];
  /** The tie that stands for an element. */
  private readonly tieOf: Int32Array;
  private readonly tied: Forest;
  private readonly net: StarMesh<T>;
  /** At each node, everything whose current is known without the law of currents: what conducts and what pushes. */
  private readonly at: ReturnType<typeof incidence>;

  /**
   * @param places number of places, ground included
   * @param pins places to hold at ground because nothing else ties their part of the circuit down
   * @param bound 1 for each dependent state
   * @throws Fault where given voltages and steered ones form a loop, or a conductance is beyond what doubles hold
   */
  constructor(
    places: number,
    private readonly elements: readonly Element[],
    pins: readonly Place[],
    bound: Uint8Array,
    private readonly nx: number,
    nu: number,
    private readonly numbers: Arithmetic<T>,
  ) {
    const count = elements.length;
    const steered: number[] = [];
    this.column = new Int32Array(count);
    for (let i = 0; i < count; i++) if (elements[i].steer) this.column[i] = nx + nu + steered.push(i) - 1;
    this.steered = steered;
    this.firstLevel = nx + nu + steered.length;
    const levels: number[] = [];
    this.levelColumn = new Int32Array(count);
    for (let i = 0; i < count; i++) {
      const { level } = elements[i];
      if (typeof level !== "number" || level === 0) continue;
      this.levelColumn[i] = this.firstLevel + levels.push(level) - 1;
    }
    this.levels = levels;
    this.width = this.firstLevel + levels.length;
    this.role = new Uint8Array(count);
    this.tieOf = new Int32Array(count).fill(-1);
    this.from = new Array(count);
    this.to = new Array(count);
    const sum = trackedSum(numbers, this.width);
    this.sum = sum;
    const conducting: number[] = [];
    const pushing: number[] = [];
    const lists = {
      from: [] as number[],
      to: [] as number[],
      rows: [] as TrackedRow<T>[],
      of: [] as number[],
    };
    const tie = (from: number, to: number, row: TrackedRow<T>, of: number) => {
      lists.from.push(from);
      lists.to.push(to);
      lists.rows.push(row);
      return lists.of.push(of) - 1;
    };
    let nodes = places;
    for (let i = 0; i < count; i++) {
      const e = elements[i];
      this.from[i] = e.a;
      this.to[i] = e.b;
      const { type } = e;
      if (type === "resistor") conducting.push(i);
      else if (type === "push" || ((type === "capacitor") === (bound[e.state] === 1) && type !== "hold")) {
        this.role[i] = pushes;
        pushing.push(i);
      } else if (type === "hold") {
        this.addLevel(i, 1);
        if (e.size > 0) {
          this.to[i] = nodes;
          conducting.push(i);
          tie(nodes++, e.b, sum.take(), i);
        } else this.tieOf[i] = tie(e.a, e.b, sum.take(), i);
      } else this.tieOf[i] = tie(e.a, e.b, { at: [e.state], of: [numbers.of(1)], off: [0] }, i);
      if (this.tieOf[i] >= 0) this.role[i] = ties;
    }
    for (const place of pins) tie(place, 0, { at: [], of: [], off: [] }, -1);
    // Without steered voltages among them these are trees: topology.ts has seen to it.
    const loop = steered.length > 0 ? loopOf(nodes, lists.from, lists.to) : undefined;
    if (loop)
      throw new Unsolvable(
        "ill-conditioned",
        partsOf(
          elements,
          loop.map((t) => lists.of[t]),
        ),
      );
    this.tied = new Forest(nodes, lists.from, lists.to);
    this.at = incidence(nodes, this.from, this.to, (i) => this.role[i] !== ties);
    this.net = this.reduced(lists, conducting, pushing);
  }

  /** v(a) − v(b). */
  voltage(a: Place, b: Place): TrackedRow<T> {
    this.net.addDifference(this.sum, a, b);
    return this.sum.take();
  }

  /** The current of an element. */
  current(i: number): TrackedRow<T> {
    if (this.role[i] === ties) this.addTied(i);
    else this.addCurrent(i, 1);
    return this.sum.take();
  }

  /** Kirchhoff's current law over the nodes below the tie: what leaves them otherwise comes in through it. */
  private addTied(i: number): void {
    const { tied, at, from, to } = this;
    const begins = tied.edge[from[i]] === this.tieOf[i];
    const below = begins ? from[i] : to[i];
    const way = begins ? -1 : 1;
    for (let t = tied.first[below]; t < tied.end[below]; t++) {
      const v = tied.order[t];
      for (let p = at.start[v]; p < at.start[v + 1]; p++) {
        const j = at.edges[p];
        const leaves = from[j] === v;
        // What stays among the nodes below is in no balance.
        if (!tied.below(leaves ? to[j] : from[j], below)) this.addCurrent(j, leaves ? way : -way);
      }
    }
  }

  /** Adds the current of what conducts or pushes, times ±1. */
  private addCurrent(i: number, way: number): void {
    const { numbers } = this;
    if (this.role[i] === pushes) this.addPushed(i, way);
    else {
      const siemens = numbers.over(numbers.of(way), numbers.of(this.elements[i].size));
      this.net.addDifference(this.sum, this.from[i], this.to[i], siemens);
    }
  }

  private addPushed(i: number, way: number): void {
    const { type, state } = this.elements[i];
    if (type === "push") this.addLevel(i, way);
    else this.sum.put(state, this.numbers.of(way), 0);
  }

  private addLevel(i: number, way: number): void {
    const { sum, nx, numbers } = this;
    const { level, steer } = this.elements[i];
    if (typeof level !== "number") sum.put(nx + level.source, numbers.of(way), 0);
    else if (level !== 0) sum.put(this.levelColumn[i], numbers.of(way), 0);
    if (steer) sum.put(this.column[i], numbers.of(way * steer.gain), 0);
  }

  private reduced(
    given: { readonly from: readonly number[]; readonly rows: TrackedRow<T>[] },
    conducting: readonly number[],
    pushing: readonly number[],
  ): StarMesh<T> {
    const { tied, from, to, elements, width, sum, numbers } = this;
    // The voltage of the lower node against the upper one.
    for (let t = 0; t < given.rows.length; t++) {
      if (tied.edge[given.from[t]] === t) continue;
      sum.join(given.rows[t], -1);
      given.rows[t] = sum.take();
    }
    const net = new StarMesh(tied, given.rows, numbers, width, (nodes) => {
      const touching = conducting.filter((i) => nodes.includes(from[i]) || nodes.includes(to[i]));
      return new Unsolvable("ill-conditioned", partsOf(elements, touching));
    });
    const one = numbers.of(1);
    for (const i of conducting) net.connect(from[i], to[i], numbers.over(one, numbers.of(elements[i].size)));
    for (const i of pushing) {
      this.addPushed(i, 1);
      const row = sum.take();
      net.push(from[i], row, -1);
      net.push(to[i], row, 1);
    }
    net.eliminate();
    return net;
  }
}

/** The parts that some elements stand for, each once. */
export function partsOf(elements: readonly Element[], list: readonly number[]): number[] {
  return [...new Set(list.flatMap((i) => elements[i]?.part ?? []))].sort((a, b) => a - b);
}
