// One unknown and one goal: every root of the measure along the range.
// Takes a gauge, the unknown and how many points to look at; gives the answers or why there are none. Always: all sign
// changes between neighbouring points are followed, and the deepest dips of what has none are looked into, so that of two
// roots in one gap none is missed where a point between them can tell; a place where the measure jumps over the goal is no
// answer, unless the check passes there.
import { unitOf } from "../base/dimension.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { engineering } from "../base/quantity.js";
import { inRange } from "../parts/contract.js";
import { answer, nothing, type Trial, tried, type Unknown } from "./answers.js";
import type { Gauge } from "./gauge.js";
import { spoken } from "./goals.js";
import { dip, type Point, roots, type Search } from "./root.js";
import type { Outcome, SizedAnswer } from "./sizing.js";
import { decimal, spaced, suited } from "./spacing.js";
import { reach } from "./trim.js";

/** Narrowing ends at this share of the unknown: below what a run tells apart. */
const accuracy = 1e-8;
/** Most dips that are looked into, and most runs for each. */
const dips = 3;
const callsForDip = 16;
/** Most answers for which the reach against tolerances is worked out. */
const mostTrimmed = 3;

/** Sizes one value for one goal. */
export function single(gauge: Gauge, unknown: Unknown, count: number, trim: boolean): Outcome {
  const [goal] = gauge.goals;
  const { aim, spec } = goal!;
  const unit = unitOf(unknown.dimension);
  // Where a double stands for an end of the range, the end itself is meant.
  const exact = (x: number): Fraction =>
    x === toNumber(unknown.from) ? unknown.from : x === toNumber(unknown.to) ? unknown.to : decimal(x);
  const reading = (value: Fraction) => gauge.at(new Map([[unknown.name, value]]))[0]!;
  const point = (value: Fraction): Point => ({ x: toNumber(value), y: reading(value).value - aim });

  const points = spaced(unknown.from, unknown.to, count, suited(unknown.from, unknown.to)).map(point);
  const there = points.filter((p) => !Number.isNaN(p.y));
  if (there.length === 0) {
    const { reason } = reading(unknown.from).result;
    return none(`nothing can be measured anywhere in the range: ${reason ?? "no value"}`);
  }
  const values = there.map((p) => p.y + aim);
  const spread = Math.max(...values) - Math.min(...values);
  const size = Math.max(Math.abs(aim), ...values.map(Math.abs), band(spec.limit));
  const best = () => {
    const p = there.reduce((a, b) => (Math.abs(b.y) < Math.abs(a.y) ? b : a));
    return tried(gauge, [unknown], [exact(p.x)]);
  };
  if (there.length > 1 && spread <= nothing * size) {
    const reason = `"${spec.name}" measures ${spoken(goal!, values[0]!)} whatever '${unknown.name}' is`;
    return { status: "no effect", reason, answers: [], best: best() };
  }

  const sought: Search = {
    at: (x) => {
      const p = point(exact(x));
      const within = x >= points[0]!.x && x <= points.at(-1)!.x;
      if (within && !Number.isNaN(p.y)) there.push(p);
      return p.y;
    },
    accuracy,
    small: 0.1 * nothing * Math.max(Math.abs(aim), 1e-3 * size),
  };
  const looked = [...points];
  for (const [left, middle, right] of lowest(points)) {
    looked.push(...dip(sought, left, middle, right, callsForDip));
  }
  looked.sort((a, b) => a.x - b.x);
  const found = roots(sought, looked).map((p) => tried(gauge, [unknown], [exact(p.x)]));
  const good = found.filter((t) => t.met);
  if (good.length > 0) {
    const answers = good.map((t): SizedAnswer => {
      const at = [exact(t.values[0]!)];
      const one = answer(gauge, [unknown], at);
      return trim && good.length <= mostTrimmed ? { ...one, trim: reach(gauge, unknown, at[0]!) } : one;
    });
    if (answers.length === 1) return { status: "found", reason: "", answers };
    return { status: "several", reason: `${answers.length} values in the range meet the goal`, answers };
  }

  const jumps = found.map((t) => engineering(t.values[0]!, unit, 6)).join(", ");
  const beyond = farther(gauge, unknown, sought, points);
  if (beyond) {
    const value = engineering(beyond.values[0]!, unit, 6);
    return {
      status: "out of range",
      reason: `only beyond the range allowed, at ${value}, is the goal met`,
      answers: [],
      best: best(),
      beyond,
    };
  }
  const reached = best();
  const nearest = spoken(goal!, reached.results[0]!.measured);
  const over = jumps === "" ? "" : `; at ${jumps} the measure jumps over it`;
  const reason = `no value in the range reaches the goal of ${spoken(goal!, aim)}: the nearest is ${nearest}${over}`;
  return { status: "none", reason, answers: [], best: reached };
}

function none(reason: string): Outcome {
  return { status: "none", reason, answers: [] };
}

// The deepest points that are nearer to zero than both neighbours without a change of sign beside them.
function lowest(points: readonly Point[]): [Point, Point, Point][] {
  const found: [Point, Point, Point][] = [];
  for (let i = 1; i + 1 < points.length; i++) {
    const [a, m, b] = [points[i - 1]!, points[i]!, points[i + 1]!];
    if (!(a.y * m.y > 0 && m.y * b.y > 0)) continue;
    if (Math.abs(m.y) < Math.abs(a.y) && Math.abs(m.y) <= Math.abs(b.y)) found.push([a, m, b]);
  }
  return found.sort((a, b) => Math.abs(a[1].y) - Math.abs(b[1].y)).slice(0, dips);
}

// The nearest answer beyond either end: ratios of 10^(1/4) up to a hundredfold where the range is above zero, else up to
// four times its width. What the part does not allow is not looked at.
function farther(
  gauge: Gauge,
  unknown: Unknown,
  sought: Search,
  points: readonly Point[],
): Trial | undefined {
  const { from, to, range } = unknown;
  const positive = inRange(from, "positive");
  const width = to.sub(from);
  const beyond = (end: Fraction, outward: 1 | -1): Fraction[] => {
    const far = outward > 0 ? end.mul(100) : end.div(100);
    if (positive && outward > 0) return spaced(end, far, 9, "log").slice(1);
    if (positive) return spaced(far, end, 9, "log").slice(0, -1).reverse();
    return [1, 2, 4].map((n) => end.add(width.mul(outward * n)));
  };
  const ends = [
    { last: points[0]!, steps: beyond(from, -1) },
    { last: points.at(-1)!, steps: beyond(to, 1) },
  ];
  // Both ways at once, so that the nearer answer is found first.
  for (let k = 0; k < Math.max(...ends.map((e) => e.steps.length)); k++) {
    for (const end of ends) {
      const step = end.steps[k];
      if (!step || !inRange(step, range)) continue;
      const p = { x: toNumber(step), y: sought.at(toNumber(step)) };
      const [found] = roots(
        sought,
        [end.last, p].sort((a, b) => a.x - b.x),
      );
      end.last = p;
      const trial = found && tried(gauge, [unknown], [decimal(found.x)]);
      if (trial?.met && !trial.inside) return trial;
    }
  }
  return undefined;
}

function band({ low, high }: { low?: number; high?: number }): number {
  return low !== undefined && high !== undefined ? high - low : 0;
}
