// The march through time: one run from its start to its end. It takes the equations, the sources in ticks and a
// clock, and tells a sink every sample. What always holds: a step never passes an edge of a source; two
// TR-BDF2 steps follow every jump and every change of modes, trapezoids follow them; an event inside a step is
// narrowed down, by halving with matrices of their own, to one tick, and the step ends on its far side.
import type { Combination, System } from "../equations/system.js";
import { Fault } from "../equations/topology.js";
import type { Clock } from "./clock.js";
import type { Inputs } from "./inputs.js";
import { NoMode, settle } from "./modes.js";
import { addProduct, evaluate } from "./rows.js";
import { Rung, type Weights, gamma } from "./rung.js";
import type { Ending, StepSink } from "./sink.js";
import { checkSteady, rest, steady } from "./start.js";

/** How to march. */
export interface MarchOptions {
  readonly start: "steady" | "rest";
  /** A fixed step in ticks; absent: the local error chooses. */
  readonly step?: number;
  /** `mixed`: two TR-BDF2 steps after a jump, then trapezoids; or one of them throughout. */
  readonly method: "mixed" | "trapezoid" | "tr-bdf2";
  /**
   * Local error allowed where it is made, as a share of the swing. What is left of it at the next edge may be
   * a thousandth of that: a ramp keeps its errors, a discharge forgets them.
   */
  readonly tolerance: number;
  /** The most steps taken. */
  readonly steps: number;
  /** Asked now and then; true stops the run. */
  readonly cancelled?: () => boolean;
}

/** The most events settled at one instant before the run is stopped. */
const crowd = 64;
/** How often the run asks whether to go on, in steps. */
const breath = 1024;
/** Steps at most that an error is taken to repeat up to the next edge. */
const repeats = 64;
/** Share of the local tolerance allowed for what is left at the next edge. */
const lasting = 1 / 1000;

class Stop extends Error {
  constructor(
    readonly code: string,
    readonly parts: readonly number[] = [],
  ) {
    super(code);
  }
}

interface Kit {
  readonly at: Combination;
  readonly rungs: (Rung | undefined)[];
  readonly odd: Map<number, Rung>;
  /** The rung that the first free step after an event took last time. */
  entry: number;
}

/** Marches once. Make a new one for each run. */
export class March {
  private readonly nx: number;
  private readonly x: Float64Array;
  private readonly x1: Float64Array;
  private readonly u0: Float64Array;
  private readonly uMiddle: Float64Array;
  private readonly u1: Float64Array;
  private readonly du0: Float64Array;
  private readonly du1: Float64Array;
  private readonly ddu: Float64Array;
  private readonly third: Float64Array;
  private readonly third1: Float64Array;
  private readonly f: Float64Array;
  private readonly f1: Float64Array;
  private readonly estimate: Float64Array;
  private readonly scratch: Float64Array;
  private readonly swing: Float64Array;
  private guards = new Float64Array(0);
  private guards1 = new Float64Array(0);
  private readonly kits: Kit[] = [];
  private kit!: Kit;
  private n = 0;
  private restart = 2;
  private wanted = 53;
  private fresh = true;
  /** The next tick at which the states change course: up to there an error may fade. */
  private horizon = 0;
  private steps = 0;
  private rejected = 0;
  private events = 0;
  private readonly groups: readonly { states: number[]; floor: number }[];

  /**
   * @param volts largest voltage any source has, for the scale of errors
   * @param amperes largest current any source has
   */
  constructor(
    private readonly system: System,
    private readonly inputs: Inputs,
    private readonly clock: Clock,
    private readonly sink: StepSink,
    private readonly options: MarchOptions,
    volts: number,
    amperes: number,
  ) {
    const nx = system.states.length;
    const nu = inputs.size;
    this.nx = nx;
    const states = () => new Float64Array(nx);
    const levels = () => new Float64Array(nu);
    [this.x, this.x1, this.third, this.third1] = [states(), states(), states(), states()];
    [this.f, this.f1, this.estimate, this.scratch, this.swing] = [states(), states(), states(), states(), states()];
    [this.u0, this.uMiddle, this.u1, this.du0, this.du1, this.ddu] = [levels(), levels(), levels(), levels(), levels(), levels()];
    const group = (type: "capacitor" | "inductor", floor: number) => ({
      states: system.states.flatMap((s, i) => (s.type === type ? [i] : [])),
      floor,
    });
    this.groups = [group("capacitor", volts), group("inductor", amperes)];
  }

  /** Runs to the end, or to what stops it; never throws for what a circuit does. */
  run(): Ending {
    try {
      this.begin();
      while (this.n < this.clock.end) this.toEdge(this.inputs.next(this.n, this.clock.end));
      return this.ending("complete", "", "");
    } catch (error) {
      return this.explain(error);
    }
  }

  // ---- start and edges

  private begin(): void {
    const { system, inputs, options } = this;
    inputs.seek(0, 1);
    inputs.levels(0, this.u0);
    inputs.slopes(0, this.du0);
    const modes = new Uint8Array(system.members.length);
    this.command(modes, 0);
    const resting = rest(system.states);
    const place = (at: Combination): readonly number[] => {
      if (options.start === "steady") this.x.set(steady(at.equations, system.states, this.u0));
      else {
        this.x.set(resting);
        at.equations.reconcile(this.x, this.u0);
      }
      return this.violations(at);
    };
    const first = system.combination(modes);
    const found = settle(system, first, place(first), place);
    if (options.start === "steady") checkSteady(system, found, this.x, this.u0);
    this.enter(found);
    this.emit(0, 1, false);
  }

  private command(modes: Uint8Array, n: number): boolean {
    let changed = false;
    for (const { part, schedule } of this.inputs.commanded) {
      const to = this.system.members[part]!.device.obey!(modes[part]!, schedule.state(n));
      changed ||= to !== modes[part];
      modes[part] = to;
    }
    return changed;
  }

  /** At an edge: the sources change segment, commanded switches obey, modes settle. */
  private pass(n: number): void {
    const { inputs } = this;
    inputs.seek(n, 1);
    inputs.levels(n, this.u0);
    inputs.slopes(n, this.du0);
    const jump = inputs.jump(n);
    const modes = this.kit.at.modes.slice();
    if (this.command(modes, n)) this.change(n, this.system.combination(modes), []);
    else if (jump) this.change(n, this.kit.at, []);
    else {
      // A slope may have changed, and with it the current of a capacitor that hangs on the source.
      this.readGuards();
      const flips = this.violations(this.kit.at);
      if (flips.length > 0) this.change(n, this.kit.at, flips);
    }
    this.emit(n, 1, false);
  }

  /** Goes over to a combination at tick n and settles from there; flips are violations already known. */
  private change(n: number, to: Combination, flips: readonly number[]): void {
    let lost = to.equations.reconcile(this.x, this.u0);
    const first = flips.length > 0 ? flips : this.violations(to);
    const found = settle(this.system, to, first, (at) => {
      lost += at.equations.reconcile(this.x, this.u0);
      return this.violations(at);
    });
    this.events++;
    if (lost > 0) this.sink.loss(n, lost);
    this.enter(found);
  }

  /** Guards that are violated now, beyond rounding. Reads guards into a buffer of their own. */
  private violations(at: Combination): number[] {
    const { equations } = at;
    const values = new Float64Array(equations.guards.count);
    evaluate(equations.guards, this.x, this.u0, this.du0, values);
    const found: number[] = [];
    for (let g = 0; g < values.length; g++) if (values[g]! > this.slack(equations.guardOf[g]!.ofCurrent)) found.push(g);
    return found;
  }

  /** Rounding allowed on the wrong side of a guard. */
  private slack(ofCurrent: boolean): number {
    return 1e-12 * (ofCurrent ? Math.max(this.groups[1]!.floor, 1e-9 * this.groups[0]!.floor) : this.groups[0]!.floor);
  }

  private enter(at: Combination): void {
    let kit = this.kits[at.index];
    if (!kit) {
      kit = { at, rungs: [], odd: new Map(), entry: 53 };
      this.kits[at.index] = kit;
    }
    this.kit = kit;
    this.restart = 2;
    this.fresh = true;
    this.wanted = Math.min(53, kit.entry + 1);
    const { count } = at.equations.guards;
    if (this.guards.length !== count) {
      this.guards = new Float64Array(count);
      this.guards1 = new Float64Array(count);
    }
    this.readGuards();
  }

  private readGuards(): void {
    const eq = this.kit.at.equations;
    evaluate(eq.guards, this.x, this.u0, this.du0, this.guards);
    this.derivatives(this.n, this.x, this.u0, this.du0, this.f, this.third);
    for (let i = 0; i < this.nx; i++) this.swing[i] = Math.max(this.swing[i]!, Math.abs(this.x[i]!));
  }

  // ---- between edges

  private toEdge(edge: number): void {
    let crowded = 0;
    let last = -1;
    this.horizon = this.inputs.horizon(this.n, this.kit.at.equations.active, this.clock.end);
    while (this.n < edge) {
      const k = this.choose(edge);
      const h = k < 0 ? Math.min(this.options.step!, edge - this.n) : 2 ** k;
      this.attempt(this.rung(k, h), h);
      if (!this.crosses(h)) {
        if (k > 0 && !this.holds(k)) {
          this.rejected++;
          this.wanted = k - 1;
          continue;
        }
        this.accept(h, k);
        continue;
      }
      const event = this.narrow(h);
      if (event) {
        crowded = this.n === last ? crowded + 1 : 0;
        last = this.n;
        if (crowded > crowd) throw new Stop("chatter", this.changed);
        this.happen(event);
      }
    }
    this.pass(edge);
  }

  private changed: number[] = [];

  /** The event at the present tick: what crossed flips, the rest settles. */
  private happen(flips: readonly number[]): void {
    const guardOf = this.kit.at.equations.guardOf;
    this.changed = flips.map((g) => guardOf[g]!.part);
    this.change(this.n, this.kit.at, flips);
    this.emit(this.n, 1, false);
  }

  /** The largest rung whose error is allowed and that does not pass the edge; −1 with a fixed step. */
  private choose(edge: number): number {
    if (this.options.step !== undefined) return -1;
    const left = edge - this.n;
    const cap = Math.min(left, this.inputs.finest / 24 / this.clock.seconds);
    let k = Math.min(53, this.wanted);
    while (k > 0 && 2 ** k > cap) k--;
    while (k > 0 && !this.allowed(k, this.third)) k--;
    if (this.fresh) this.kit.entry = Math.max(k, this.kit.entry === 53 ? 0 : this.kit.entry - 1);
    return k;
  }

  private allowed(k: number, third: Float64Array): boolean {
    const { nx, estimate, scratch } = this;
    if (nx === 0) return true;
    const h = 2 ** k;
    estimate.fill(0);
    addProduct(this.rung(k, h).error, third, nx, nx, estimate);
    const tolerance = this.options.tolerance;
    const here = this.worst(estimate, h);
    if (here > tolerance) return false;
    const left = Math.min(this.horizon - this.n, this.outlook());
    const times = Math.min(left / h, repeats);
    if (here * times <= tolerance * lasting) return true;
    let rung = k;
    while (2 ** (rung + 1) <= left) rung++;
    scratch.fill(0);
    addProduct(this.rung(rung, 2 ** rung).fade, estimate, nx, nx, scratch);
    return this.worst(scratch, h) * times <= tolerance * lasting;
  }

  /** Ticks to the nearest crossing of a guard as it now rises; where none does, no bound. */
  private outlook(): number {
    const { guards } = this;
    let ticks = Number.POSITIVE_INFINITY;
    for (let g = 0; g < guards.length; g++) {
      const value = guards[g]!;
      if (value > 0) continue;
      const rise = this.guardSlope(g, this.f, this.du0) * this.clock.seconds;
      if (rise > 0) ticks = Math.min(ticks, -value / rise);
    }
    return ticks;
  }

  /** Largest error as a share of its state's scale: its own swing, or a thirty-second of its kind's. */
  private worst(error: Float64Array, h: number): number {
    let worst = 0;
    for (const { states, floor } of this.groups) {
      let most = floor;
      for (const i of states) most = Math.max(most, this.swing[i]!);
      for (const i of states) {
        const flow = Math.abs(this.f[i]!) * h * this.clock.seconds;
        const scale = Math.max(this.swing[i]!, most / 32) || flow;
        if (scale > 0) worst = Math.max(worst, Math.abs(error[i]!) / scale);
      }
    }
    return worst;
  }

  /** After a step: would its size still have been chosen from its end? */
  private holds(k: number): boolean {
    return this.allowed(k - 1, this.third1);
  }

  private rung(k: number, h: number): Rung {
    const { kit } = this;
    if (k >= 0) {
      kit.rungs[k] ??= new Rung(kit.at.equations, h * this.clock.seconds);
      return kit.rungs[k];
    }
    let rung = kit.odd.get(h);
    if (!rung) {
      if (kit.odd.size > 512) kit.odd.clear();
      rung = new Rung(kit.at.equations, h * this.clock.seconds);
      kit.odd.set(h, rung);
    }
    return rung;
  }

  private get damped(): boolean {
    const { method } = this.options;
    return method === "tr-bdf2" || (method === "mixed" && this.restart > 0);
  }

  /** Takes a step of h ticks from the present state into x1, u1, guards1, f1. */
  private attempt(rung: Rung, h: number): void {
    const { inputs, n, nx, x, x1, u0, u1, uMiddle } = this;
    const eq = this.kit.at.equations;
    const damped = this.damped;
    const w: Weights = damped ? rung.damped : rung.trapezoid;
    inputs.levels(n + h, u1);
    inputs.slopes(n + h, this.du1);
    for (let i = 0; i < nx; i++) x1[i] = w.c[i]!;
    addProduct(w.M, x, nx, nx, x1);
    const { active } = eq;
    if (active.length > 0) {
      if (damped) inputs.levels(n + gamma * h, uMiddle);
      for (let a = 0, at = 0; a < active.length; a++) {
        const s = active[a]!;
        const early = u0[s]!;
        const middle = uMiddle[s]!;
        const late = u1[s]!;
        if (damped) {
          for (let i = 0; i < nx; i++, at++) x1[i]! += w.early[at]! * early + w.middle[at]! * middle + w.late[at]! * late;
        } else for (let i = 0; i < nx; i++, at++) x1[i]! += w.early[at]! * early + w.late[at]! * late;
      }
    }
    for (let i = 0; i < nx; i++) {
      x1[i]! += x[i]!;
      if (!Number.isFinite(x1[i])) throw new Stop("overflow", [this.system.states[i]!.part]);
    }
    this.derivatives(n + h, x1, u1, this.du1, this.f1, this.third1);
    evaluate(eq.guards, x1, u1, this.du1, this.guards1);
  }

  /** f = x' and third = x‴ at a tick. */
  private derivatives(
    n: number,
    x: Float64Array,
    u: Float64Array,
    du: Float64Array,
    f: Float64Array,
    third: Float64Array,
  ): void {
    const { nx, scratch } = this;
    const { A, B, D, nu, active } = this.kit.at.equations;
    for (let i = 0; i < nx; i++) f[i] = B[i * nu]!;
    addProduct(A, x, nx, nx, f);
    for (const s of active) for (let i = 0; i < nx; i++) f[i]! += B[i * nu + s]! * u[s]! + D[i * nu + s]! * du[s]!;
    scratch.fill(0);
    addProduct(A, f, nx, nx, scratch);
    for (const s of active) for (let i = 0; i < nx; i++) scratch[i]! += B[i * nu + s]! * du[s]!;
    third.fill(0);
    addProduct(A, scratch, nx, nx, third);
    if (active.length > 0 && this.inputs.finest < Number.POSITIVE_INFINITY) {
      this.inputs.bends(n, this.ddu);
      for (const s of active) for (let i = 0; i < nx; i++) third[i]! += B[i * nu + s]! * this.ddu[s]!;
    }
  }

  private accept(h: number, k: number): void {
    const damped = this.damped;
    this.n += h;
    this.advance();
    if (this.restart > 0) this.restart--;
    if (this.fresh && k >= 0) this.fresh = false;
    if (k >= 0 && k >= this.wanted) this.wanted = k + 1;
    else if (k >= 0 && k < this.wanted - 1 && this.restart === 0) this.wanted = Math.max(k + 1, this.wanted - 1);
    this.emit(this.n, 0, damped);
  }

  /** Makes the attempted step the present state. */
  private advance(): void {
    const { nx } = this;
    for (let i = 0; i < nx; i++) {
      const value = this.x1[i]!;
      this.x[i] = value;
      this.f[i] = this.f1[i]!;
      this.third[i] = this.third1[i]!;
      if (Math.abs(value) > this.swing[i]!) this.swing[i] = Math.abs(value);
    }
    this.u0.set(this.u1);
    this.du0.set(this.du1);
    const spare = this.guards;
    this.guards = this.guards1;
    this.guards1 = spare;
    this.steps++;
    if (this.steps >= this.options.steps) throw new Stop("steps");
    if (this.steps % breath === 0 && this.options.cancelled?.()) throw new Stop("cancelled");
  }

  private emit(n: number, side: 0 | 1, damped: boolean): void {
    if (!this.sink.sample(n, side, this.kit.at, this.x, damped)) throw new Stop("recording");
  }

  // ---- events inside a step

  /** True when a guard is violated at the end of the attempted step, or was in between. */
  private crosses(h: number): boolean {
    const { guards, guards1 } = this;
    const { guardOf } = this.kit.at.equations;
    for (let g = 0; g < guards.length; g++) {
      const early = guards[g]!;
      const late = guards1[g]!;
      if (late > 0 ? early <= 0 || late > this.slack(guardOf[g]!.ofCurrent) : early <= 0 && h > 1 && this.peaks(g, h)) {
        return true;
      }
    }
    return false;
  }

  /** Does the guard, violated at neither end, rise above zero in between? By its cubic through both ends. */
  private peaks(g: number, h: number): boolean {
    const span = h * this.clock.seconds;
    const rise = this.guardSlope(g, this.f, this.du0) * span;
    if (rise <= 0) return false;
    const fall = this.guardSlope(g, this.f1, this.du1) * span;
    if (fall >= 0) return false;
    const y0 = this.guards[g]!;
    const y1 = this.guards1[g]!;
    // p(s) = y0 + rise s + (3d − 2rise − fall) s² + (rise + fall − 2d) s³, d = y1 − y0; its peak in (0, 1).
    const d = y1 - y0;
    const a = 3 * (rise + fall - 2 * d);
    const b = 2 * (3 * d - 2 * rise - fall);
    const root = Math.sqrt(Math.max(0, b * b - 4 * a * rise));
    const s = (2 * rise) / (root - b);
    return s > 0 && s < 1 && y0 + s * (rise + s * (b / 2 + (s * a) / 3)) > 0;
  }

  private guardSlope(g: number, f: Float64Array, du: Float64Array): number {
    const { guards, nu } = this.kit.at.equations;
    let sum = 0;
    for (let j = 0, at = g * this.nx; j < this.nx; j++) sum += guards.X[at++]! * f[j]!;
    for (let j = 1, at = g * nu + 1; j < nu; j++) sum += guards.U[at++]! * du[j]!;
    return sum;
  }

  /**
   * Narrows a step of h ticks that crosses, keeping what does not cross, until the crossing lies within one tick
   * or until less of a step would be lost in rounding, and takes the rest to the far side. Gives the guards
   * violated there, or nothing when shorter steps do not cross after all.
   */
  private narrow(h: number): number[] | undefined {
    const end = this.n + h;
    let left = h;
    const damped = this.damped;
    while (left > 1 && !this.rounded()) {
      let k = 0;
      while (2 ** (k + 1) < left) k++;
      this.attempt(this.rung(k, 2 ** k), 2 ** k);
      if (this.crosses(2 ** k)) left = 2 ** k;
      else {
        this.keep(2 ** k, damped);
        left -= 2 ** k;
        this.attempt(this.stride(left), left);
      }
    }
    // Steps of another length may round the other way: then the crossing is a little farther on.
    for (this.attempt(this.stride(left), left); !this.crosses(left); this.attempt(this.stride(left), left)) {
      if (this.n + left >= end) break;
      left = Math.min(2 * left, end - this.n);
    }
    const flips = this.crossed();
    this.keep(left, damped);
    return flips.length > 0 ? flips : undefined;
  }

  private keep(h: number, damped: boolean): void {
    this.n += h;
    this.advance();
    this.emit(this.n, 0, damped);
  }

  /** The matrices for a step of any number of ticks. */
  private stride(h: number): Rung {
    let k = 0;
    while (2 ** k < h) k++;
    return this.rung(2 ** k === h ? k : -1, h);
  }

  /** True when every guard that crosses in the attempted step moves by no more than its rounding. */
  private rounded(): boolean {
    const { guards, nu } = this.kit.at.equations;
    const crossed = this.crossed();
    return crossed.length > 0 && crossed.every((g) => {
      let size = 0;
      for (let j = 0, at = g * this.nx; j < this.nx; j++) size += Math.abs(guards.X[at++]! * this.x[j]!);
      for (let j = 0, at = g * nu; j < nu; j++) size += Math.abs(guards.U[at++]! * this.u0[j]!);
      return Math.abs(this.guards1[g]! - this.guards[g]!) <= size * 2 ** -53;
    });
  }

  /** The guards violated at the end of the attempted step. */
  private crossed(): number[] {
    const { guardOf } = this.kit.at.equations;
    const flips: number[] = [];
    for (let g = 0; g < this.guards1.length; g++) {
      const late = this.guards1[g]!;
      if (late > 0 && (this.guards[g]! <= 0 || late > this.slack(guardOf[g]!.ofCurrent))) flips.push(g);
    }
    return flips;
  }

  // ---- the end

  private ending(status: Ending["status"], code: string, reason: string): Ending {
    const matrices = this.kits.reduce((sum, kit) => sum + (kit ? kit.rungs.filter(Boolean).length + kit.odd.size : 0), 0);
    const { n: reached, steps, rejected, events } = this;
    return { status, code, reason, reached, steps, rejected, events, matrices };
  }

  /** What stopped the run, in words. */
  private explain(error: unknown): Ending {
    const name = (parts: readonly number[]) => parts.map((p) => `'${this.system.members[p]!.name}'`).join(", ");
    if (error instanceof Stop) {
      const reasons: Record<string, string> = {
        steps: `the limit of ${this.options.steps} steps was reached`,
        cancelled: "the run was cancelled",
        recording: "the limit of the recording was reached",
        overflow: `the state of ${name(error.parts)} is beyond every number`,
        chatter: `${name(error.parts)} kept switching at one instant`,
      };
      return this.ending("stopped", error.code, reasons[error.code]!);
    }
    if (error instanceof NoMode) {
      return this.ending("stopped", "no-mode", `no combination of modes fits: ${name(error.parts)} contradict each other`);
    }
    if (error instanceof Fault) {
      const reasons = {
        "source-loop": `ideal voltages stand in a loop: ${name(error.parts)}`,
        "no-path": `the current of ${name(error.parts)} has no way to flow`,
        "ill-conditioned": `the equations of ${name(error.parts)} have no accurate solution`,
      };
      return this.ending("stopped", error.code, reasons[error.code]);
    }
    if (error instanceof Error && error.name === "Runaway") {
      const { parts } = error as Error & { parts: readonly number[] };
      return this.ending("stopped", "no-steady-state", `nothing stops ${name(parts)}: there is no steady state to start from`);
    }
    throw error;
  }
}
