// The current state and one attempted step. Takes matrices and sources, gives the state at the end of a step with its
// derivatives and guards; knows nothing of why a step is taken. A step allocates nothing: the current and the attempted
// state swap places when a step is kept.
//
// Notation: as in derivatives.ts; a trailing 1 is the end of the attempted step.
import type { Condensed } from "../equations/condense.js";
import type { Combination, System } from "../equations/system.js";
import { Derivatives, StepInstant, times } from "./derivatives.js";
import { boundless } from "./growth.js";
import type { Inputs } from "./inputs.js";
import { evaluateMoving } from "./products.js";
import { StepLadder, ticks } from "./stepladder.js";
import { gamma, next as leading, type StepMatrices } from "./stepmatrices.js";
import type { GuardCrossing } from "./tangent.js";

/** The state of a march and the step it tries. */
export class Stepper {
  /** The current tick. */
  n = 0;
  /** The current instant, and the end of the attempted step. */
  now: StepInstant;
  next: StepInstant;
  /** Matrices of the current combination. */
  ladder!: StepLadder;
  /** Largest size of each state so far. */
  readonly swing: Float64Array;
  /** The error of a step before it is mended, and the rung and tick for which it was computed. */
  readonly slip: Float64Array;
  private slipOf = -1;
  private slipAt = -1;
  /** Side of the current instant: before changes at its tick (0), or after them (1). */
  side: 0 | 1 = 1;
  /** The matrices of the attempted step. */
  attempted!: StepMatrices;
  private readonly ladders: StepLadder[] = [];
  private readonly nx: number;
  private readonly middle: Float64Array;
  private readonly levels: { early: Float64Array; readonly middle: Float64Array; late: Float64Array };
  private readonly derivatives: Derivatives;
  private readonly extra: Float64Array;

  /** @param tick length of a tick in seconds */
  constructor(
    readonly system: System,
    readonly inputs: Inputs,
    readonly tick: number,
  ) {
    const nu = inputs.size;
    this.nx = system.states.length;
    const crest = new Float64Array(nu);
    this.now = new StepInstant(this.nx, nu, crest);
    this.next = new StepInstant(this.nx, nu, crest);
    this.swing = new Float64Array(this.nx);
    this.middle = new Float64Array(nu);
    this.levels = { early: this.now.u, middle: this.middle, late: this.next.u };
    this.derivatives = new Derivatives(inputs, this.nx);
    this.extra = new Float64Array(this.nx);
    this.slip = new Float64Array(this.nx);
  }

  /** The equations in force. */
  get equations(): Condensed {
    return this.ladder.at.equations;
  }

  /** Switches to a combination; `read` must follow. */
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

  /** Takes all sources, as they leave the current tick (1) or arrive at it (0). */
  sources(side: 0 | 1): void {
    this.side = side;
    this.inputs.place(this.n, side, this.now);
    this.inputs.crests(this.n, side, this.now.crest);
  }

  /** Computes derivatives and guards of the current instant, after its state or sources have changed. */
  read(): void {
    this.slipOf = -1;
    this.derivatives.derive(this.equations, this.now, this.n, this.side);
    this.watch(this.now);
    this.grow();
  }

  /**
   * The error of a step of rung k before it is mended, without the effect of sources beyond their bends.
   * @param tick the tick of that instant
   */
  judge(k: number, damped: boolean, at: StepInstant, tick: number): Float64Array {
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
   * @param mended whether its known error is subtracted: TR-BDF2 only
   * @returns the index of a state that is not finite at its end, or −1
   */
  attempt(rung: StepMatrices, h: number, damped: boolean, mended: boolean): number {
    const { nx, n, inputs, now, next } = this;
    const { active } = this.equations;
    const { live } = this.ladder;
    const end = n + h;
    for (let i = 0; i < live.length; i++) inputs.arriving(live[i], end, next);
    this.attempted = rung;
    const x1 = next.x;
    if (damped) {
      for (let a = 0; a < active.length; a++) {
        this.middle[active[a]] = inputs.players[active[a] - 1].value(n + gamma * h, 1);
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
    this.derivatives.derive(this.equations, next, end, 0);
    this.watch(next);
    return astray;
  }

  /**
   * Puts into `next` about where the states are in the ticks of rung k; true where a part would have changed its mode by
   * then, or where a state is out of bounds.
   */
  glance(k: number): boolean {
    const { now, next } = this;
    const beyond = this.attempt(this.ladder.rung(k), ticks[k], true, false) >= 0;
    return beyond || next.guards.some((guard, g) => guard > 0 && now.guards[g] <= 0);
  }

  /** Subtracts the error of the attempted step. */
  private mend(rung: StepMatrices, h: number): void {
    const { nx, n, now, next, slip, extra } = this;
    const { drives } = this.equations;
    const known = this.slipAt === n && this.slipOf >= 0 && this.ladder.rung(this.slipOf) === rung;
    if (this.derivatives.bent && drives.length > 0) {
      // What the sources add to x⁗ is not covered by the filter.
      this.derivatives.turned(this.equations, n, h, leading, extra);
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

  /** Moves a column of derivatives over the attempted step. */
  carry(column: Float64Array, damped: boolean, mended: boolean): void {
    const { attempted } = this;
    const before = column.slice();
    attempted.linear(before, damped, column);
    if (!mended) return;
    const [a, b] = [new Float64Array(this.nx), new Float64Array(this.nx)];
    times(this.equations, before, a);
    times(this.equations, a, b);
    times(this.equations, b, a);
    attempted.error(a, true, b);
    attempted.mend(b, a);
    for (let i = 0; i < column.length; i++) column[i] -= a[i];
  }

  /** Guards and their slopes at an instant whose derivatives are known. */
  private watch(at: StepInstant): void {
    const { guards } = this.equations;
    evaluateMoving(guards, at, at.guards, at.rates);
  }

  /** Makes the end of the attempted step, h ticks on, the current instant. */
  keep(h: number): void {
    const { now, next } = this;
    this.n += h;
    this.side = 0;
    this.now = next;
    this.next = now;
    this.grow();
  }

  /** The motion at the current instant, and how a guard depends on the state. */
  crossing(g: number): GuardCrossing {
    const { guards, nx } = this.equations;
    return {
      motion: this.now.f.slice(),
      gradient: guards.X.slice(g * nx, (g + 1) * nx),
      rate: this.now.rates[g],
    };
  }

  /** The rounding error of guard g, from the largest states so far and the present sources. */
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
}
