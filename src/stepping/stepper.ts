// The present state and one attempted step. Takes matrices and sources, gives the state at the end of a step with
// its derivatives and guards; knows nothing of why a step is taken. Nothing is allocated in a step: the present
// and the attempted state change places when a step is kept.
//
// Notation: x states, u levels of the sources, f = x', second = x″, third = x‴ (of x − D u, which has no corners); a trailing 1 is the end of the attempted step.

import type { Condensed } from "../equations/condense.js";
import { multiply } from "../equations/sparsecolumns.js";
import type { Combination, System } from "../equations/system.js";
import { boundless } from "./growth.js";
import type { Inputs } from "./inputs.js";
import { evaluateMoving, multiplyRows } from "./products.js";
import { StepLadder, ticks } from "./stepladder.js";
import { gamma, next as leading, type StepMatrices } from "./stepmatrices.js";
import type { GuardCrossing } from "./tangent.js";

/** One instant of the march. */
class Instant {
  readonly x: Float64Array;
  readonly u: Float64Array;
  readonly du: Float64Array;
  readonly f: Float64Array;
  readonly second: Float64Array;
  readonly third: Float64Array;
  guards = new Float64Array(0);
  /** Slopes of the guards a second, what their sources bend apart. */
  rates = new Float64Array(0);

  constructor(nx: number, nu: number) {
    this.x = new Float64Array(nx);
    this.u = new Float64Array(nu);
    this.du = new Float64Array(nu);
    this.f = new Float64Array(nx);
    this.second = new Float64Array(nx);
    this.third = new Float64Array(nx);
    this.u[0] = 1;
  }
}

/** The state of a march and the step it tries. */
export class Stepper {
  /** Present tick. */
  n = 0;
  /** The present instant, and the end of the attempted step. */
  now: Instant;
  next: Instant;
  /** Matrices of the present combination. */
  ladder!: StepLadder;
  /** Largest size each state has had. */
  readonly swing: Float64Array;
  /** What a step errs by before it is mended, and of which rung and tick that is known. */
  readonly slip: Float64Array;
  private slipOf = -1;
  private slipAt = -1;
  /** The matrices of the attempted step. */
  attempted!: StepMatrices;
  private readonly ladders: StepLadder[] = [];
  private readonly nx: number;
  private readonly middle: Float64Array;
  private readonly levels: { early: Float64Array; readonly middle: Float64Array; late: Float64Array };
  private readonly bends: Float64Array;
  private readonly late: Float64Array;
  private readonly scratch: Float64Array;
  private readonly extra: Float64Array;
  private readonly bent: boolean;

  /** @param tick length of a tick in seconds */
  constructor(
    readonly system: System,
    readonly inputs: Inputs,
    readonly tick: number,
  ) {
    const nu = inputs.size;
    this.nx = system.states.length;
    this.now = new Instant(this.nx, nu);
    this.next = new Instant(this.nx, nu);
    this.swing = new Float64Array(this.nx);
    this.middle = new Float64Array(nu);
    this.levels = { early: this.now.u, middle: this.middle, late: this.next.u };
    this.bends = new Float64Array(nu);
    this.late = new Float64Array(nu);
    this.scratch = new Float64Array(this.nx);
    this.extra = new Float64Array(this.nx);
    this.slip = new Float64Array(this.nx);
    this.bent = inputs.players.some((p) => p.smooth !== undefined);
  }

  /** The equations in force. */
  get equations(): Condensed {
    return this.ladder.at.equations;
  }

  /** Goes over to a combination; `read` must follow. */
  enter(at: Combination): void {
    let ladder = this.ladders[at.index];
    if (!ladder) {
      ladder = new StepLadder(at, this.tick);
      this.ladders[at.index] = ladder;
    }
    this.ladder = ladder;
    const { count } = at.equations.guards;
    if (this.now.guards.length !== count) {
      for (const at of [this.now, this.next]) {
        at.guards = new Float64Array(count);
        at.rates = new Float64Array(count);
      }
    }
  }

  /** Takes the sources at the present tick, all of them. */
  sources(): void {
    this.inputs.levels(this.n, this.now.u);
    this.inputs.slopes(this.n, this.now.du);
  }

  /** Derivatives and guards of the present instant, after its state or sources have changed. */
  read(): void {
    this.slipOf = -1;
    this.derive(this.now, this.n);
    this.watch(this.now);
    this.grow();
  }

  /**
   * What a step of rung k from an instant errs by before it is mended, but for what sources do beyond their bend.
   * @param tick the tick of that instant
   */
  judge(k: number, damped: boolean, at: Instant, tick: number): Float64Array {
    if (this.slipOf !== k || this.slipAt !== tick) {
      this.ladder.rung(k).error(at.third, damped, this.slip);
      this.slipOf = k;
      this.slipAt = tick;
    }
    return this.slip;
  }

  /**
   * Tries a step.
   * @param h its length in ticks
   * @param damped by TR-BDF2 instead of the trapezoid
   * @param mended what it errs by is taken off: TR-BDF2 only
   * @returns the index of a state that is not finite at its end, or −1
   */
  attempt(rung: StepMatrices, h: number, damped: boolean, mended: boolean): number {
    const { nx, n, inputs, now, next } = this;
    const { active } = this.equations;
    const { live } = this.ladder;
    const end = n + h;
    for (let i = 0; i < live.length; i++) inputs.level(live[i], end, next);
    this.attempted = rung;
    const x1 = next.x;
    if (damped) {
      for (let a = 0; a < active.length; a++) {
        this.middle[active[a]] = inputs.players[active[a] - 1].value(n + gamma * h);
      }
    }
    this.levels.early = now.u;
    this.levels.late = next.u;
    rung.step(now.x, this.levels, damped, x1);
    if (mended) this.mend(rung, h);
    let astray = -1;
    for (let i = 0; i < nx; i++) {
      if (!(Math.abs(x1[i]) < boundless)) astray = i;
    }
    this.derive(next, end);
    this.watch(next);
    return astray;
  }

  /**
   * About where the states come to in 2ⁿ ticks, rung k, in `next`; true where a part would have changed its mode by then,
   * or there is no such state.
   */
  glance(k: number): boolean {
    const { now, next } = this;
    const beyond = this.attempt(this.ladder.rung(k), ticks[k], true, false) >= 0;
    return beyond || next.guards.some((guard, g) => guard > 0 && now.guards[g] <= 0);
  }

  /** Takes off what the attempted step errs by. */
  private mend(rung: StepMatrices, h: number): void {
    const { nx, n, now, next, slip, extra, inputs } = this;
    const { drives } = this.equations;
    const known = this.slipAt === n && this.slipOf >= 0 && this.ladder.rung(this.slipOf) === rung;
    if (this.bent && drives.length > 0) {
      // x⁗ = A x‴ + C u‴ of x − D u, with C = A D + B: the second of them is no part of the filter's.
      const { bends, late, scratch } = this;
      inputs.bends(n, bends);
      inputs.bends(n + h, late);
      for (let s = 1; s < late.length; s++) late[s] = leading * (late[s] - bends[s]);
      this.jumps(late, scratch);
      this.apply(scratch, extra);
      this.lead(late, extra);
      for (let i = 0; i < nx; i++) extra[i] += now.third[i];
      rung.error(extra, true, slip);
      this.slipOf = -1;
    } else if (!known) {
      rung.error(now.third, true, slip);
      this.slipOf = -1;
    }
    rung.mend(slip, extra);
    for (let i = 0; i < nx; i++) next.x[i] -= extra[i];
  }

  /** Moves a column of derivatives as the attempted step moved the state. */
  carry(column: Float64Array, damped: boolean, mended: boolean): void {
    const { attempted } = this;
    const before = column.slice();
    attempted.linear(before, damped, column);
    if (!mended) return;
    const [a, b] = [new Float64Array(this.nx), new Float64Array(this.nx)];
    this.apply(before, a);
    this.apply(a, b);
    this.apply(b, a);
    attempted.error(a, true, b);
    attempted.mend(b, a);
    for (let i = 0; i < column.length; i++) column[i] -= a[i];
  }

  /** Guards and their slopes at an instant whose derivatives are known. */
  private watch(at: Instant): void {
    const { guards } = this.equations;
    evaluateMoving(guards, at, at.guards, at.rates);
  }

  /** Makes the end of the attempted step of h ticks the present instant. */
  keep(h: number): void {
    const { now, next } = this;
    this.n += h;
    this.now = next;
    this.next = now;
    this.grow();
  }

  /** The motion at the present instant, and how a guard depends on the state. */
  crossing(g: number): GuardCrossing {
    const { guards, nx } = this.equations;
    return {
      motion: this.now.f.slice(),
      gradient: guards.X.slice(g * nx, (g + 1) * nx),
      rate: this.now.rates[g],
    };
  }

  /** What rounding can make of guard g, by what has flowed and stood in it. */
  noise(g: number): number {
    const { guards, nx, nu } = this.equations;
    const { u, du } = this.now;
    let sum = 0;
    for (let j = 0; j < nx; j++) sum += Math.abs(guards.X[g * nx + j]) * this.swing[j];
    for (let s = 0; s < nu; s++)
      sum += Math.abs(guards.U[g * nu + s] * u[s]) + Math.abs(guards.D[g * nu + s] * du[s]);
    return 512 * Number.EPSILON * sum;
  }

  /** How many sets of step matrices were made. */
  get matrices(): number {
    return this.ladders.reduce((sum, ladder) => sum + ladder.size, 0);
  }

  private grow(): void {
    const { swing } = this;
    const { x } = this.now;
    for (let i = 0; i < x.length; i++) {
      const size = Math.abs(x[i]);
      if (size > swing[i]) swing[i] = size;
    }
  }

  /** out = A x */
  private apply(x: Float64Array, out: Float64Array): void {
    const { rowsOfA, columnsOfA } = this.equations;
    if (columnsOfA) multiply(columnsOfA, x, out);
    else multiplyRows(rowsOfA, x, out);
  }

  /** f = A x + B u + D u', second = A f + B u' + D u'' and third = A second + B u''. */
  private derive(at: Instant, n: number): void {
    const { nx } = this;
    const { x, u, du, f, second, third } = at;
    const { B, nu, drives, columnsOfA, rowsOfA } = this.equations;
    if (columnsOfA) {
      multiply(columnsOfA, x, f);
      for (let i = 0; i < nx; i++) f[i] += B[i * nu];
    } else {
      const { start, column, value } = rowsOfA;
      for (let i = 0, p = 0; i < nx; i++) {
        let sum = B[i * nu];
        for (const end = start[i + 1]; p < end; p++) sum += value[p] * x[column[p]];
        f[i] = sum;
      }
    }
    for (let a = 0; a < drives.length; a++) {
      const { source, row, B, D } = drives[a];
      const [level, slope] = [u[source], du[source]];
      for (let p = 0; p < row.length; p++) f[row[p]] += B[p] * level + D[p] * slope;
    }
    this.apply(f, second);
    this.lead(du, second);
    const bent = this.bent && drives.length > 0;
    if (bent) {
      this.inputs.bends(n, this.bends);
      this.jumps(this.bends, this.scratch);
      for (let i = 0; i < nx; i++) second[i] += this.scratch[i];
    }
    this.apply(second, third);
    if (bent) this.lead(this.bends, third);
  }

  /** y = D u */
  private jumps(u: Float64Array, y: Float64Array): void {
    const { drives } = this.equations;
    y.fill(0);
    for (let a = 0; a < drives.length; a++) {
      const { source, row, D } = drives[a];
      for (let p = 0; p < row.length; p++) y[row[p]] += D[p] * u[source];
    }
  }

  /** y += B u, the constants apart. */
  private lead(u: Float64Array, y: Float64Array): void {
    const { drives } = this.equations;
    for (let a = 0; a < drives.length; a++) {
      const { source, row, B } = drives[a];
      const level = u[source];
      for (let p = 0; p < row.length; p++) y[row[p]] += B[p] * level;
    }
  }
}

export type { Instant };
