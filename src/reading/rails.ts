// Which rail an output draws from. Between two stiff rails the sign of its current decides; nothing else depends on it, so the
// march does not stop there (`Guard.alike`), and a reader of a rail's current finds out here.
import type { Rows } from "../equations/condense.js";
import type { Combination, System } from "../equations/system.js";
import type { Course } from "../stepping/courses.js";
import { evaluate } from "../stepping/products.js";
import { formOf } from "./forms.js";
import { type LeapForm, leapFormOf } from "./leapforms.js";

/** Guards of a combination that the march leaves out. */
interface RailGuards {
  readonly rows: Rows;
  readonly flips: readonly { readonly part: number; readonly to: number }[];
}

/** Where the guards left out change sign over a stretch that ends at a tick. */
export interface RailTurns {
  readonly to: number;
  /** Their signs, if all plainly keep theirs. */
  readonly signs: string | undefined;
  /** Ticks at which any of them changes its sign. */
  readonly ticks: readonly number[];
}

/** The modes of outputs that the march leaves open. */
export class RailModes {
  private readonly made = new Map<Combination, RailGuards | undefined>();
  private readonly over = new Map<Combination, { readonly course: Course; readonly forms: LeapForm[] }>();

  /** @param turns by first tick of a stretch, shared by several readers of one recording */
  constructor(
    private readonly system: System,
    readonly turns?: Map<number, RailTurns>,
  ) {}

  /** The guards that a combination leaves out, over the z of a course. */
  forms(at: Combination, course: Course): LeapForm[] {
    const guards = this.guards(at);
    if (!guards) return [];
    let known = this.over.get(at);
    if (known?.course !== course) {
      const { equations } = at;
      const forms = guards.flips.map((_, g) => leapFormOf(formOf(equations, [[guards.rows, g, 1]]), course));
      known = { course, forms };
      this.over.set(at, known);
    }
    return known.forms;
  }

  /** The combination whose rows hold where some of the guards left out are violated. */
  variant(at: Combination, violated: (guard: number) => boolean): Combination {
    const flipped = (this.guards(at)?.flips ?? []).filter((_, g) => violated(g));
    if (flipped.length === 0) return at;
    const modes = at.modes.slice();
    for (const { part, to } of flipped) modes[part] = to;
    return this.system.combination(modes);
  }

  /** The combination whose rows hold at a moment. */
  at(at: Combination, x: Float64Array, u: Float64Array, du: Float64Array): Combination {
    const guards = this.guards(at);
    if (!guards) return at;
    const values = new Float64Array(guards.rows.count);
    evaluate(guards.rows, x, u, du, values);
    return this.variant(at, (g) => values[g] > 0);
  }

  /** The guards that a combination leaves out; undefined where there are none. */
  guards(at: Combination): RailGuards | undefined {
    if (!this.made.has(at)) {
      const guards = this.system.alike(at.modes);
      const flips = guards.map(({ part, guard }) => ({ part, to: guard.to }));
      this.made.set(at, flips.length === 0 ? undefined : { rows: at.equations.rowsOf(guards), flips });
    }
    return this.made.get(at);
  }
}
