// Events inside a step: a guard that is violated at its end, or rises above zero and falls back in between. Such a step is
// narrowed down by halving, with matrices of their own, until the crossing lies within one tick or a shorter step would be
// lost in rounding; the last piece ends just after it.
import { rungBelow, ticks } from "./stepladder.js";
import type { Stepper } from "./stepper.js";

/** Watches the guards of one march. */
export class StepWatch {
  /**
   * @param noise how far guard g may be violated by rounding, V or A
   */
  constructor(
    private readonly stepper: Stepper,
    private readonly noise: (g: number) => number,
  ) {}

  /** Whether a guard crosses in the attempted step of h ticks. */
  crosses(h: number): boolean {
    const early = this.stepper.now.guards;
    const late = this.stepper.next.guards;
    for (let g = 0; g < late.length; g++) {
      if (late[g] > 0 ? this.beyond(g) : early[g] <= 0 && h > 1 && this.peaks(g, h)) return true;
    }
    return false;
  }

  /** The guards violated at the end of the attempted step. */
  crossed(): number[] {
    const flips: number[] = [];
    for (let g = 0; g < this.stepper.next.guards.length; g++) if (this.beyond(g)) flips.push(g);
    return flips;
  }

  /**
   * Narrows down a step of h ticks that crosses. Pieces without the crossing go to `keep`; the last piece, which
   * crosses, is left as the attempted step. Gives its length.
   */
  narrow(h: number, attempt: (length: number) => void, keep: (length: number) => void): number {
    const { stepper } = this;
    const end = stepper.n + h;
    let left = h;
    while (left > 1 && !this.rounded()) {
      const half = ticks[rungBelow(left - 1)];
      attempt(half);
      if (this.crosses(half)) left = half;
      else {
        keep(half);
        left -= half;
        attempt(left);
      }
    }
    // Pieces of other lengths may round the other way: then the crossing is a little farther on.
    for (attempt(left); !this.crosses(left) && stepper.n + left < end; attempt(left)) {
      left = Math.min(2 * left, end - stepper.n);
    }
    return left;
  }

  private beyond(g: number): boolean {
    const late = this.stepper.next.guards[g];
    if (!(late > 0)) return false;
    return this.stepper.now.guards[g] <= 0 || late > this.noise(g);
  }

  /** Whether a guard that is violated at neither end rises above zero in between, by its cubic through both ends. */
  private peaks(g: number, h: number): boolean {
    const { stepper } = this;
    const span = h * stepper.tick;
    const rise = stepper.now.rates[g] * span;
    if (rise <= 0) return false;
    const fall = stepper.next.rates[g] * span;
    if (fall >= 0) return false;
    const y0 = stepper.now.guards[g];
    // p(s) = y0 + rise s + (3d − 2 rise − fall) s² + (rise + fall − 2d) s³ with d = y1 − y0; its peak in (0, 1).
    const d = stepper.next.guards[g] - y0;
    const a = 3 * (rise + fall - 2 * d);
    const b = 2 * (3 * d - 2 * rise - fall);
    const s = (2 * rise) / (Math.sqrt(Math.max(0, b * b - 4 * a * rise)) - b);
    return s > 0 && s < 1 && y0 + s * (rise + s * (b / 2 + (s * a) / 3)) > 0;
  }

  /** Whether every guard that crosses in the attempted step moves by no more than its rounding. */
  private rounded(): boolean {
    const { stepper } = this;
    const { guards, nx, nu } = stepper.equations;
    const { x, u } = stepper.now;
    const flips = this.crossed();
    return (
      flips.length > 0 &&
      flips.every((g) => {
        let size = 0;
        for (let j = 0; j < nx; j++) size += Math.abs(guards.X[g * nx + j] * x[j]);
        for (let j = 0; j < nu; j++) size += Math.abs(guards.U[g * nu + j] * u[j]);
        return Math.abs(stepper.next.guards[g] - stepper.now.guards[g]) <= size * (Number.EPSILON / 2);
      })
    );
  }
}
