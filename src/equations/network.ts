// One combination of modes as a net of conductances: which places given voltages tie together, what conducts between
// them, what is pushed into them. Free capacitors count as given voltages and free inductors as pushed currents, so
// nothing depends on a step size, and a place with a capacitor to ground is known before anything is solved. Gives
// any voltage and any element's current as a row over
//
//     states (0 … nx − 1) | sources (nx … nx + nu − 1) | steering voltages (from nx + nu on) | constant levels
//
// Each constant level still has a column of its own, so that two of them never cancel unseen. The column of a dependent
// state stands for its q, the current of a capacitor or the voltage of an inductor. Each steered element has a column for
// the voltage that steers it; steering.ts closes that loop. Elements are known by their index.
import type { Place } from "../parts/contract.js";
import type { Arithmetic } from "./arithmetic.js";
import type { Element } from "./elements.js";
import { type Ends, Forest, incidence } from "./forest.js";
import { StarMesh } from "./starmesh.js";
import { Unsolvable } from "./topology.js";
import { type TrackedRow, type TrackedSum, trackedSum } from "./vector.js";

/** The role of an element in the net, unless it conducts. */
const ties = 1;
const pushes = 2;

/** The data that a net is built from. */
export interface NetPlan {
  /** Number of places, ground included. */
  readonly places: number;
  readonly elements: readonly Element[];
  /** Places to hold at ground because nothing else ties their part of the circuit to it. */
  readonly pins: readonly Place[];
  /** 1 for each dependent state. */
  readonly bound: Uint8Array;
  readonly nx: number;
  readonly nu: number;
}

/** A given voltage from a to b. */
interface Given<T> extends Ends {
  readonly row: TrackedRow<T>;
}

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
  /** The nodes of each element: a resistance behind a held voltage ends at a node of its own. */
  private readonly ends: Ends[];
  /** The tie that stands for an element. */
  private readonly tieOf: Int32Array;
  private readonly tied: Forest;
  private readonly net: StarMesh<T>;
  /** At each node, every element whose current is known without Kirchhoff's current law: those that conduct or push. */
  private readonly at: ReturnType<typeof incidence>;

  /** @throws Unsolvable where a conductance is beyond the range of doubles */
  constructor(
    private readonly plan: NetPlan,
    private readonly numbers: Arithmetic<T>,
  ) {
    const { places, elements, pins, bound, nx, nu } = plan;
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
    this.ends = elements.slice();
    const sum = trackedSum(numbers, this.width);
    this.sum = sum;
    const conducting: number[] = [];
    const pushing: number[] = [];
    const given: Given<T>[] = [];
    let nodes = places;
    for (let i = 0; i < count; i++) {
      const e = elements[i];
      const { type, a, b } = e;
      if (type === "resistor") conducting.push(i);
      else if (type === "push" || ((type === "capacitor") === (bound[e.state] === 1) && type !== "hold")) {
        this.role[i] = pushes;
        pushing.push(i);
      } else if (type === "hold") {
        this.addLevel(i, 1);
        if (e.size > 0) {
          this.ends[i] = { a, b: nodes };
          conducting.push(i);
          given.push({ a: nodes++, b, row: sum.take() });
        } else this.tieOf[i] = given.push({ a, b, row: sum.take() }) - 1;
      } else {
        const row = { at: [e.state], of: [numbers.of(1)], off: [0] };
        this.tieOf[i] = given.push({ a, b, row }) - 1;
      }
      if (this.tieOf[i] >= 0) this.role[i] = ties;
    }
    for (const place of pins) given.push({ a: place, b: 0, row: { at: [], of: [], off: [] } });
    // The given voltages form trees: topology.ts has made sure of that.
    this.tied = new Forest(nodes, given);
    this.at = incidence(nodes, this.ends, (i) => this.role[i] !== ties);
    this.net = this.reduced(given, conducting, pushing);
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

  /** Kirchhoff's current law over the nodes below the tie: what leaves them by other ways comes in through it. */
  private addTied(i: number): void {
    const { tied, at, ends } = this;
    const begins = tied.edge[ends[i].a] === this.tieOf[i];
    const below = begins ? ends[i].a : ends[i].b;
    const way = begins ? -1 : 1;
    for (let t = tied.first[below]; t < tied.end[below]; t++) {
      const v = tied.order[t];
      for (let p = at.start[v]; p < at.start[v + 1]; p++) {
        const j = at.edges[p];
        const { a, b } = ends[j];
        // Currents between two nodes below cancel.
        if (!tied.below(a === v ? b : a, below)) this.addCurrent(j, a === v ? way : -way);
      }
    }
  }

  /** Adds the current of an element that conducts or pushes, times ±1. */
  private addCurrent(i: number, way: number): void {
    const { numbers } = this;
    if (this.role[i] === pushes) this.addPushed(i, way);
    else {
      const siemens = numbers.over(numbers.of(way), numbers.of(this.plan.elements[i].size));
      this.net.addDifference(this.sum, this.ends[i].a, this.ends[i].b, siemens);
    }
  }

  private addPushed(i: number, way: number): void {
    const { type, state } = this.plan.elements[i];
    if (type === "push") this.addLevel(i, way);
    else this.sum.put(state, this.numbers.of(way), 0);
  }

  private addLevel(i: number, way: number): void {
    const { sum, numbers } = this;
    const { level, steer } = this.plan.elements[i];
    if (typeof level !== "number") sum.put(this.plan.nx + level.source, numbers.of(way), 0);
    else if (level !== 0) sum.put(this.levelColumn[i], numbers.of(way), 0);
    if (steer) sum.put(this.column[i], numbers.of(way * steer.gain), 0);
  }

  private reduced(
    given: readonly Given<T>[],
    conducting: readonly number[],
    pushing: readonly number[],
  ): StarMesh<T> {
    const { tied, ends, width, sum, numbers } = this;
    const { elements } = this.plan;
    // The voltage of the lower node against the upper one, at each tie.
    const rows = given.map(({ a, row }, t) => {
      if (tied.edge[a] === t) return row;
      sum.join(row, -1);
      return sum.take();
    });
    const net = new StarMesh(tied, rows, numbers, width, (nodes) =>
      this.illConditioned(conducting.filter((i) => nodes.includes(ends[i].a) || nodes.includes(ends[i].b))),
    );
    const one = numbers.of(1);
    for (const i of conducting)
      net.connect(ends[i].a, ends[i].b, numbers.over(one, numbers.of(elements[i].size)));
    for (const i of pushing) {
      this.addPushed(i, 1);
      const row = sum.take();
      net.push(ends[i].a, row, -1);
      net.push(ends[i].b, row, 1);
    }
    net.eliminate();
    return net;
  }

  private illConditioned(list: readonly number[]): Unsolvable {
    return new Unsolvable("ill-conditioned", partsOf(this.plan.elements, list));
  }
}

/** The parts that some elements belong to, each once. */
export function partsOf(elements: readonly Element[], list: readonly number[]): number[] {
  return [...new Set(list.flatMap((i) => elements[i]?.part ?? []))].sort((a, b) => a - b);
}
