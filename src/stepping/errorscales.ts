// The scales that errors are judged by. Takes the march as it goes; gives an error of all states as a share of the swing
// of each state and of each voltage and current that can be looked at. Always: a supply that does not affect a state plays
// no part in its scale; what has not moved yet is judged by how far the step itself moves it; what is only the rounding of
// larger flows is not judged.
import type { Condensed, Rows } from "../equations/condense.js";
import { sparseFrom } from "../equations/system.js";
import { evaluate } from "./products.js";
import type { StepMatrices } from "./stepmatrices.js";
import type { Stepper } from "./stepper.js";

/** A state's scale is at least this share of the largest state of its type that it strongly depends on. */
const least = 1 / 32;
/** A coupling counts as strong from this share of the state's own coefficient on. */
const strong = 1 / 64;
/** The most states that may meet in one of the other type and still depend on each other through it. */
const crossroads = 16;
/** Shares of the flows into a state, or of the terms of an output, below which a net value is rounding. */
const speck = 2 ** -30;
const trifle = 2 ** -10;
/** Swings are weighed again when one has grown by this factor. */
const notable = 17 / 16;

/** Rows of outputs in one combination, and how far each has swung. */
interface Outputs {
  readonly rows: Rows;
  readonly swing: Float64Array;
  readonly level: Float64Array;
  /** The sum of the sizes that its terms can have. */
  readonly gross: Float64Array;
}

/** The scales of one march. */
export class ErrorScales {
  /** States: the scale of each, and what flows into it, a second. */
  private readonly scale: Float64Array;
  private readonly floor: Float64Array;
  private readonly gross: Float64Array;
  /** Largest x' of each state: the current of a capacitor, the voltage of a coil. */
  private readonly port: Float64Array;
  private readonly weighed: Float64Array;
  private readonly outputs = new Map<Condensed, readonly Outputs[]>();
  private present: readonly Outputs[] = [];
  private readonly motion: Float64Array;
  private readonly scratch: Float64Array;
  /** Where the states are heading, see `expect`; and what flows into each there. */
  private readonly ahead: Float64Array;
  private readonly later: Float64Array;

  constructor(private readonly stepper: Stepper) {
    const nx = stepper.system.states.length;
    const zeros = () => new Float64Array(nx);
    this.scale = zeros();
    this.floor = zeros();
    this.gross = zeros();
    this.port = zeros();
    this.weighed = zeros();
    this.motion = zeros();
    this.scratch = zeros();
    this.ahead = zeros();
    this.later = zeros();
  }

  /** Switches to a combination. */
  enter(): void {
    const { equations } = this.stepper;
    let present = this.outputs.get(equations);
    if (!present) {
      // In a large circuit the rows of all places would cost more than the march.
      const all =
        equations.nx < sparseFrom
          ? [equations.guards, equations.places, equations.currents]
          : [equations.guards];
      present = all.map((rows) => ({
        rows,
        swing: new Float64Array(rows.count),
        level: new Float64Array(rows.count),
        gross: new Float64Array(rows.count),
      }));
      this.outputs.set(equations, present);
    }
    this.present = present;
    this.weigh();
    this.see();
  }

  /** At a change of course of the sources, an output's past swing no longer judges it. */
  turn(): void {
    this.port.fill(0);
    for (const { swing } of this.present) swing.fill(0);
    this.see();
  }

  /** Sets where the states are heading; without x, nowhere. Lasting errors are judged by that as well. */
  expect(x?: Float64Array): void {
    const { ahead, later, scale } = this;
    for (let i = 0; i < ahead.length; i++) ahead[i] = Math.max(scale[i], x ? Math.abs(x[i]) : 0);
    this.meet(ahead, later);
  }

  /** out = what flows into each state when all states have these sizes. */
  private meet(sizes: Float64Array, out: Float64Array): void {
    const { now, equations } = this.stepper;
    const { rowsOfA, B, nu, drives } = equations;
    for (let i = 0; i < out.length; i++) {
      let sum = Math.abs(B[i * nu]);
      for (let p = rowsOfA.start[i]; p < rowsOfA.start[i + 1]; p++)
        sum += Math.abs(rowsOfA.value[p]) * sizes[rowsOfA.column[p]];
      out[i] = sum;
    }
    for (const { source, row, B: levels } of drives)
      for (let p = 0; p < row.length; p++) out[row[p]] += Math.abs(levels[p] * now.u[source]);
  }

  /** Takes the current instant into account. */
  see(): void {
    const { port, present, weighed, stepper } = this;
    const { x, u, du, f } = stepper.now;
    let anew = false;
    for (let i = 0; i < port.length; i++) {
      port[i] = Math.max(port[i], Math.abs(f[i]));
      anew ||= stepper.swing[i] > notable * weighed[i];
    }
    for (const { rows, swing, level } of present) {
      evaluate(rows, x, u, du, level);
      for (let i = 0; i < level.length; i++) swing[i] = Math.max(swing[i], Math.abs(level[i]));
    }
    if (anew) this.weigh();
  }

  /**
   * The largest error as a share of its scale.
   * @param h length of the step in ticks
   * @param enough shares below this need not be told apart
   * @param lasting also judged by where the states are heading
   */
  share(error: Float64Array, rung: StepMatrices, h: number, enough: number, lasting: boolean): number {
    const plain = this.worst(error, h, lasting);
    return plain <= enough ? plain : this.worst(error, h, lasting, this.moved(rung, h));
  }

  /** How far a step moves the states, about R h x' + R² h² x″/2, since what the step damps does not move. */
  private moved(rung: StepMatrices, h: number): Float64Array {
    const { motion, scratch, stepper } = this;
    const { f, second } = stepper.now;
    const span = h * stepper.tick;
    for (let i = 0; i < motion.length; i++) {
      motion[i] = span * f[i];
      scratch[i] = (span * span * second[i]) / 2;
    }
    rung.damp(scratch);
    for (let i = 0; i < motion.length; i++) motion[i] += scratch[i];
    rung.damp(motion);
    return motion;
  }

  /** @param motion how far the step moves the states; without it, what has no scale yet is infinitely far off */
  private worst(error: Float64Array, h: number, lasting: boolean, motion?: Float64Array): number {
    const { scale, gross, ahead, later, port, stepper, present } = this;
    const { rowsOfA } = stepper.equations;
    const span = h * stepper.tick;
    const unscaled = motion ? 0 : Number.POSITIVE_INFINITY;
    let worst = 0;
    for (let i = 0, p = 0; i < error.length; i++) {
      let [flow, move, own] = [0, 0, 0];
      for (const end = rowsOfA.start[i + 1]; p < end; p++) {
        const j = rowsOfA.column[p];
        flow += rowsOfA.value[p] * error[j];
        if (motion) move += rowsOfA.value[p] * motion[j];
        if (j === i) own = Math.abs(rowsOfA.value[p]);
      }
      const meets = lasting ? Math.max(gross[i], later[i]) : gross[i];
      const rounding = speck * gross[i] * (own * span > 1 ? 1 / own : span);
      const of = Math.max(scale[i], rounding, lasting ? ahead[i] : 0, motion ? Math.abs(motion[i]) : 0);
      worst = larger(worst, error[i], of, unscaled);
      worst = larger(worst, flow, Math.max(port[i], trifle * meets, Math.abs(move)), unscaled);
    }
    for (const { rows, swing, gross } of present) {
      const { start, column, value } = rows.sparse;
      for (let i = 0, p = 0; i < swing.length; i++) {
        let [off, move] = [0, 0];
        for (const end = start[i + 1]; p < end; p++) {
          off += value[p] * error[column[p]];
          if (motion) move += value[p] * motion[column[p]];
        }
        worst = larger(worst, off, Math.max(swing[i], trifle * gross[i], Math.abs(move)), unscaled);
      }
    }
    return worst;
  }

  /** Weighs swings against each other, after one has grown or the combination has changed. */
  private weigh(): void {
    const { stepper, scale, floor, gross, weighed, present } = this;
    const { swing } = stepper;
    weighed.set(swing);
    for (let i = 0; i < floor.length; i++) floor[i] = Math.max(floor[i], swing[i]);
    // Once up and down the list: what is farther away comes in when swings grow again.
    for (let i = 0; i < floor.length; i++) this.lift(i);
    for (let i = floor.length - 1; i >= 0; i--) this.lift(i);
    for (let i = 0; i < scale.length; i++) scale[i] = Math.max(swing[i], least * floor[i]);
    this.meet(scale, gross);
    for (const { rows, gross } of present) {
      const { start, column, value } = rows.sparse;
      for (let i = 0; i < gross.length; i++) {
        gross[i] = 0;
        for (let p = start[i]; p < start[i + 1]; p++) gross[i] += Math.abs(value[p]) * scale[column[p]];
      }
    }
  }

  /** A state depends on those of its type that strongly contribute to it, directly or through one of the other type. */
  private lift(i: number): void {
    const { floor, stepper } = this;
    const { states } = stepper.system;
    const { start, column, value } = stepper.equations.rowsOfA;
    const own = this.weight(i, i);
    for (let p = start[i]; p < start[i + 1]; p++) {
      const j = column[p];
      if (states[j].type === states[i].type) {
        if (Math.abs(value[p]) >= strong * own) floor[i] = Math.max(floor[i], floor[j]);
        continue;
      }
      // A state in which very many meet links none of them.
      if (start[j + 1] - start[j] > crossroads) continue;
      const back = this.weight(j, i);
      for (let q = start[j]; q < start[j + 1]; q++) {
        const k = column[q];
        if (states[k].type === states[i].type && Math.abs(value[q]) >= strong * back)
          floor[i] = Math.max(floor[i], floor[k]);
      }
    }
  }

  /** |A| at row i, column j. */
  private weight(i: number, j: number): number {
    const { start, column, value } = this.stepper.equations.rowsOfA;
    for (let p = start[i]; p < start[i + 1]; p++) if (column[p] === j) return Math.abs(value[p]);
    return 0;
  }
}

/** @param unscaled the share of an error whose scale is zero */
function larger(worst: number, error: number, of: number, unscaled: number): number {
  const size = Math.abs(error);
  if (!(of > 0)) return size > 0 ? Math.max(worst, unscaled) : worst;
  return size > worst * of ? size / of : worst;
}
