// The effects of tolerances on columns: each toleranced value alone a standard deviation higher. Values that affect different
// columns share one run (like columns of a sparse Jacobian: A. R. Curtis, M. J. D. Powell, J. K. Reid, J. Inst. Math. Appl. 13,
// 1974). Where several still affect one column, such as the current of a rail, the change is divided among them.
import { DesignError } from "../base/diagnostic.js";
import type { Design } from "../design/design.js";
import { revalued } from "../design/revalue.js";
import { caseOf } from "../judging/goals.js";
import { changedParts } from "../judging/influence.js";
import { type Distribution, drawnPlace } from "../spread/distribution.js";
import { Axes } from "../spread/tolerances.js";
import { type Looked, standardWords } from "./columns.js";

/** Number of evenly spaced chances from which a distribution's deviation is computed. */
const drawn = 128;

/** Levels that differ by less than this share of the largest of their trace are the same. */
export const sameLevel = 0.01;

/** What the run of a row showed. */
export interface RowShown {
  readonly looked: readonly Looked[];
  /** The parts that can affect each; undefined: any may. */
  readonly movers: readonly (ReadonlySet<number> | undefined)[];
  readonly values: readonly number[];
}

/** The toleranced values of a design, and the design with some of them higher. */
export class Tolerated {
  readonly names: readonly string[];
  private readonly axes: Axes;
  private readonly places: readonly number[];
  private readonly moved = new Map<string, readonly number[] | undefined>();
  private readonly made = new Map<string, Design | undefined>();

  constructor(private readonly design: Design) {
    this.axes = new Axes(design, undefined, undefined, [design, ...design.cases]);
    this.names = this.axes.list.map(({ name }) => name);
    this.places = this.axes.list.map(({ distribution }) => 0.5 + deviation(distribution));
  }

  /** Which columns each value affects, given the parts that affect each column; undefined: any may. */
  reach(one: Design, movers: readonly (ReadonlySet<number> | undefined)[]): number[][] {
    return this.names.map((_, axis) => {
      const parts = this.parts(one, axis);
      return movers.flatMap((set, column) =>
        set && parts && !parts.some((part) => set.has(part)) ? [] : [column],
      );
    });
  }

  /** A case with some values a standard deviation higher; undefined where that makes an invalid design. */
  higher(one: Design, group: readonly number[]): Design | undefined {
    const { caseName } = one;
    const key = `${group.join(" ")} ${caseName}`;
    if (!this.made.has(key)) this.made.set(key, this.attempted(caseName, group));
    return this.made.get(key);
  }

  /** Whether some values are all of parts that are open or bridged, and so of no effect. @param laid the case with its fault */
  failed(one: Design, group: readonly number[], { parts }: Design): boolean {
    return group.every((axis) =>
      this.parts(one, axis)?.every((i) => {
        const { name, fault, wave, kind } = parts[i];
        // A bridged coil keeps its turns, and the corners of a signal count even where it is gone.
        return fault && !wave && !kind.rail && !parts.some(({ couples }) => couples?.includes(name));
      }),
    );
  }

  private attempted(caseName: string, group: readonly number[]): Design | undefined {
    const settings = this.axes.settings(
      this.places.map((p, axis) => (group.includes(axis) ? p : Number.NaN)),
    );
    try {
      return caseOf(revalued(this.design, settings, caseName === "" ? [] : [caseName]), caseName);
    } catch (error) {
      if (error instanceof DesignError) return undefined;
      throw error;
    }
  }

  /** Indices of the parts that use a value. */
  private parts(one: Design, axis: number): readonly number[] | undefined {
    const key = `${axis} ${one.caseName}`;
    if (!this.moved.has(key)) {
      const made = this.higher(one, [axis]);
      this.moved.set(key, made && changedParts(one, made));
    }
    return this.moved.get(key);
  }
}

/**
 * Which columns differ from the sound design. A rail's current does not count: it is the sum of its branches, and tolerances act
 * on a branch that shows no change as before.
 */
export function otherThan({ looked, values }: RowShown, sound: readonly number[]): boolean[] {
  // Levels of one trace are held against the largest of them; a time or a slope is no level, and is held against itself.
  const isLevel = ({ spec }: Looked) => standardWords.some((words) => words === spec.measure.words);
  const keys = looked.map((one, i) => (isLevel(one) ? one.spec.target : i));
  const sizes = new Map<string | number, number>();
  for (const [i, key] of keys.entries())
    for (const v of [values[i], sound[i]])
      if (Math.abs(v) > (sizes.get(key) ?? 0)) sizes.set(key, Math.abs(v));
  return looked.map((_, i) => {
    if (ofRail(looked[i])) return false;
    const apart = Math.abs(values[i] - sound[i]);
    if (Number.isNaN(apart)) return Number.isNaN(values[i]) !== Number.isNaN(sound[i]);
    return apart > sameLevel * (sizes.get(keys[i]) ?? 0);
  });
}

/** Whether a column is of a rail's current. */
export function ofRail({ spec }: Looked): boolean {
  return spec.target.endsWith(".current");
}

/** Values in groups such that no two of a group affect the same column. @param reach the columns of each value */
export function together(asked: readonly number[], reach: readonly (readonly number[])[]): number[][] {
  const groups: { readonly axes: number[]; readonly columns: Set<number> }[] = [];
  for (const axis of asked) {
    const columns = reach[axis];
    const free = groups.find((g) => !columns.some((c) => g.columns.has(c)));
    const group = free ?? { axes: [], columns: new Set<number>() };
    if (!free) groups.push(group);
    group.axes.push(axis);
    for (const c of columns) group.columns.add(c);
  }
  return groups.map((g) => g.axes);
}

/**
 * Divides the joint effect of several values on a column as they act on one level of its trace in the sound design: the one on
 * which they act jointly most like that, so that a current which a fault holds at its peak moves as the peak does. What differs
 * still goes in proportion to the effect of each there; where none has an effect, all goes to the first, which spreads no less.
 * @param levels the effect of each value on the levels there, by index of the value, its own first
 */
export function apportioned(
  change: number,
  axes: readonly number[],
  levels: readonly (readonly number[])[],
): (readonly [axis: number, part: number])[] {
  const jointly = (effects: readonly number[]) => axes.reduce((sum, axis) => sum + effects[axis], 0);
  const like = levels.reduce((most, one) =>
    Math.abs(change - jointly(one)) < Math.abs(change - jointly(most)) ? one : most,
  );
  const size = axes.reduce((sum, axis) => sum + Math.abs(like[axis]), 0);
  if (axes.length === 1 || size === 0) return axes.map((axis, i) => [axis, i === 0 ? change : 0]);
  const rest = change - jointly(like);
  return axes.map((axis) => [axis, like[axis] + (rest * Math.abs(like[axis])) / size]);
}

/** Standard deviation of a value about the middle of its band, as a share of the band. */
function deviation(of: Distribution): number {
  let sum = 0;
  for (let k = 0; k < drawn; k++) sum += (drawnPlace((k + 0.5) / drawn, of) - 0.5) ** 2;
  return Math.sqrt(sum / drawn);
}
