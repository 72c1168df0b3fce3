// The modes that a moment shows. An output between two rails that stand firm carries its current to the one or the other
// by its sign; the march does not stop for that, since nothing moves otherwise (`Guard.alike`). Whoever looks at the
// current of a rail finds out here which it is.
import type { Rows } from "../equations/condense.js";
import type { Combination, System } from "../equations/system.js";
import { evaluate } from "../stepping/products.js";

/** Guards of a combination that the march leaves out. */
export interface RailGuards {
  readonly rows: Rows;
  readonly flips: readonly { readonly part: number; readonly to: number }[];
}

/** What is known of the combinations of one system. */
export class RailModes {
  private readonly made = new Map<Combination, RailGuards | undefined>();

  constructor(private readonly system: System) {}

  /** What a combination leaves out; undefined where it leaves nothing. */
  alike(at: Combination): RailGuards | undefined {
    if (!this.made.has(at)) {
      const guards = this.system.alike(at.modes);
      this.made.set(
        at,
        guards.length === 0
          ? undefined
          : {
              rows: at.equations.rowsOf(guards),
              flips: guards.map(({ part, guard }) => ({ part, to: guard.to })),
            },
      );
    }
    return this.made.get(at);
  }

  /** The combination whose rows hold where some of the guards left out are violated. */
  variant(at: Combination, violated: (guard: number) => boolean): Combination {
    const alike = this.alike(at);
    if (!alike) return at;
    const modes = at.modes.slice();
    let any = false;
    for (const [g, { part, to }] of alike.flips.entries()) {
      if (!violated(g)) continue;
      modes[part] = to;
      any = true;
    }
    return any ? this.system.combination(modes) : at;
  }

  /** The combination whose rows hold at a moment. */
  at(at: Combination, x: Float64Array, u: Float64Array, du: Float64Array): Combination {
    const alike = this.alike(at);
    if (!alike) return at;
    const values = new Float64Array(alike.rows.count);
    evaluate(alike.rows, x, u, du, values);
    return this.variant(at, (g) => values[g] > 0);
  }
}
