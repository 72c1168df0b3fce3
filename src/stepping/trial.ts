// One combination of modes tried at an instant: the state it leads to, what that shares, and which of its guards are
// violated. Shared charge or flux counts as a current or voltage without bound for no time.
import type { Condensed } from "../equations/condense.js";
import type { Combination, System } from "../equations/system.js";
import type { Inputs } from "./inputs.js";
import { evaluate, evaluateMoving, evaluateRow, type Sources } from "./products.js";
import { expected, Rounding } from "./rounding.js";

/** The state that modes are judged in: x is changed, the sources are not. */
export interface Situation extends Sources {
  readonly x: Float64Array;
  /** The equations that x comes from, where sizes may have differed; absent: sizes as in the one tried. */
  before?: Condensed;
}

/** Gives the state that a combination leads to at the start of a run. */
export type Reach = (at: Combination) => Float64Array;

/** A trial of one combination: the state it leads to, and the guards violated there. */
export interface ModeTrial {
  readonly at: Combination;
  readonly x: Float64Array;
  /** The state before anything was shared, with the sizes of this combination. */
  readonly before: Float64Array;
  /** Energy lost in sharing, J. */
  readonly lost: number;
  /** Of it, what each state released as its size changed; absent where none did. */
  readonly freed?: Float64Array;
  /** Charge or flux was shared, so finite currents have not been judged yet. */
  readonly shared: boolean;
  readonly violated: readonly number[];
}

const none: readonly number[] = [];

/** Tries combinations of one system. */
export class ModeTrials {
  readonly rounding: Rounding;

  /** @param swing largest size of each state so far */
  constructor(
    private readonly system: System,
    swing: Float64Array,
    inputs: Inputs,
    sizes = swing,
  ) {
    this.rounding = new Rounding(system.states, swing, inputs, sizes);
  }

  /** @throws Unsolvable where the combination has no solution */
  of(modes: Uint8Array, s: Situation, reach: Reach | undefined): ModeTrial {
    const { rounding } = this;
    const at = this.system.combination(modes);
    const { equations } = at;
    const { guardOf, guards, dependent } = equations;
    const x = reach ? reach(at) : s.x.slice();
    const freed = reach || !s.before ? undefined : equations.adopt(x, s.before);
    const before = x.slice();
    const given = freed ? freed.reduce((sum, energy) => sum + energy, 0) : 0;
    const lost = reach ? 0 : given + equations.reconcile(x, s.u);
    // At a start nothing differs from before.
    let shared = false;
    for (const { state } of dependent) {
      if (Math.abs(x[state] - before[state]) > rounding.least(state, before)) shared = true;
      else before[state] = x[state];
    }
    const blow = new Float64Array(guards.count);
    if (shared) equations.blow(before, x, blow);
    const values = new Float64Array(guards.count);
    evaluate(guards, x, s.u, s.du, values);
    const sizes = this.sizes(at, x, s, reach);
    const violated: number[] = [];
    for (let g = 0; g < values.length; g++) {
      const { ofCurrent, control } = guardOf[g];
      if (control) continue;
      if (
        blow[g] !== 0
          ? blow[g] > 0
          : !(shared && ofCurrent) && values[g] > 0 && values[g] > rounding.guard(at, g, sizes)
      )
        violated.push(g);
    }
    return { at, x, before, lost, freed, shared, violated };
  }

  /** Guards violated in a combination, controls included. */
  violations(at: Combination, x: Float64Array, s: Sources): readonly number[] {
    const { guards } = at.equations;
    const { u, du } = s;
    const { rounding } = this;
    rounding.see(s);
    let sizes: Float64Array | undefined;
    let found: number[] | undefined;
    for (let g = 0; g < guards.count; g++) {
      const value = evaluateRow(guards, g, x, u, du);
      if (!(value > 0)) continue;
      sizes ??= rounding.sizes(x);
      if (value <= rounding.guard(at, g, sizes)) continue;
      found ??= [];
      found.push(g);
    }
    return found ?? none;
  }

  /**
   * False where a combination fits at the instant but not after it, as a guard stands on zero and rises, or what was shared at the
   * instant hid it. Of two that fit, the one that lasts holds: a diode at a choke at rest does not conduct if its current would next flow backwards.
   */
  lasts({ at, x }: ModeTrial, s: Situation, reach: Reach | undefined): boolean {
    const { nu, rowsOfA, B, D, guards, guardOf } = at.equations;
    const { rounding } = this;
    const f = Float64Array.from(x, (_, i) => {
      let sum = 0;
      for (let p = rowsOfA.start[i]; p < rowsOfA.start[i + 1]; p++)
        sum += rowsOfA.value[p] * x[rowsOfA.column[p]];
      for (let k = 0; k < nu; k++) sum += B[i * nu + k] * s.u[k] + D[i * nu + k] * s.du[k];
      return sum;
    });
    const sizes = this.sizes(at, x, s, reach);
    const [values, rates] = [new Float64Array(guards.count), new Float64Array(guards.count)];
    evaluateMoving(guards, { x, f, u: s.u, du: s.du }, values, rates);
    return !values.some((value, g) => {
      const edge = rounding.guard(at, g, sizes);
      if (guardOf[g].control || value < -edge) return false;
      return value > edge || rates[g] > rounding.slope(at, g, sizes);
    });
  }

  /** Whether all violated guards are of parts at places that float in this combination: tied elsewhere, they need not be. */
  hangs({ at, violated }: ModeTrial): boolean {
    const { floating, guardOf } = at.equations;
    const { members } = this.system;
    return violated.every((g) => {
      const { tail, head } = members[guardOf[g].part];
      return floating.has(tail) || floating.has(head);
    });
  }

  /**
   * Whether two combinations that fit differ in the voltage of any named place that has one. Places inside a part say no more
   * than its mode.
   * @param anything places with an arbitrary voltage, besides those that float in one of the two
   */
  differs(
    a: ModeTrial,
    b: ModeTrial,
    s: Situation,
    { reach, anything }: { reach: Reach | undefined; anything?: ReadonlySet<number> },
  ): boolean {
    const [ea, eb] = [a.at.equations, b.at.equations];
    const count = ea.places.count;
    const [va, vb] = [new Float64Array(count), new Float64Array(count)];
    evaluate(ea.places, a.x, s.u, s.du, va);
    evaluate(eb.places, b.x, s.u, s.du, vb);
    let size = 0;
    for (const v of va) size = Math.max(size, Math.abs(v));
    const [sa, sb] = [this.sizes(a.at, a.x, s, reach), this.sizes(b.at, b.x, s, reach)];
    const { named } = this.system;
    const floats = (p: number) => p >= named || ea.floating.has(p) || eb.floating.has(p) || anything?.has(p);
    return va.some((v, p) => {
      if (floats(p)) return false;
      const least = this.rounding.place(ea, p, sa) + this.rounding.place(eb, p, sb);
      return Math.abs(v - vb[p]) > Math.max(1e-6 * size, least);
    });
  }

  /**
   * Whether a part in another mode than in `from` is on the edge of its own: a diode that conducts no current. Such a fit is a
   * limit of what the other mode allows (where nothing moves a charge, a diode may stand anywhere below its drop).
   */
  edged({ at, x }: ModeTrial, from: Combination, s: Situation, reach: Reach | undefined): boolean {
    const { guards, guardOf } = at.equations;
    const values = new Float64Array(guards.count);
    evaluate(guards, x, s.u, s.du, values);
    const sizes = this.sizes(at, x, s, reach);
    return guardOf.some(
      ({ part, control }, g) =>
        !control &&
        at.modes[part] !== from.modes[part] &&
        Math.abs(values[g]) <= this.rounding.edge(at, g, sizes),
    );
  }

  /**
   * Parts between the same two places of which one, in another mode than in `from`, carries a current between the bounds of its own,
   * as the other did: of two limits at one place either may give what both share.
   */
  sharers({ at, x }: ModeTrial, from: Combination, s: Situation, reach: Reach | undefined): number[] {
    const { guards, guardOf } = at.equations;
    const values = new Float64Array(guards.count);
    evaluate(guards, x, s.u, s.du, values);
    const sizes = this.sizes(at, x, s, reach);
    const { members } = this.system;
    const moved = [...at.modes.keys()].filter((part) => at.modes[part] !== from.modes[part]);
    const carries = (part: number) => {
      const own = [...guardOf.keys()].filter((g) => guardOf[g].part === part && guardOf[g].ofCurrent);
      return own.length > 0 && own.every((g) => Math.abs(values[g]) > this.rounding.edge(at, g, sizes));
    };
    const beside = (a: number, b: number) =>
      members[a].tail === members[b].tail && members[a].head === members[b].head;
    return moved.filter((a) => moved.some((b) => a !== b && beside(a, b) && (carries(a) || carries(b))));
  }

  /** Combinations with one part in another mode, where its own voltage and current can lead it. */
  *ways(modes: Uint8Array): Generator<{ readonly part: number; readonly modes: Uint8Array }> {
    for (const part of modes.keys()) {
      for (const to of this.system.ways(part, modes[part])) {
        const next = modes.slice();
        next[part] = to;
        yield { part, modes: next };
      }
    }
  }

  private sizes(at: Combination, x: Float64Array, s: Situation, reach: Reach | undefined): Float64Array {
    const sizes = this.rounding.sizes(x);
    // Before anything has flowed, a state's neighbours set the scale of rounding.
    if (reach)
      for (const [j, size] of expected(at.equations, x, s.u).entries()) if (size > sizes[j]) sizes[j] = size;
    return sizes;
  }
}
