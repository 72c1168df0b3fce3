// One unknown and one goal: every root of the measure along the range. Unless a handful of runs is enough, all sign changes
// between neighbouring points are followed, and the deepest dips without one are searched, so that two roots in one gap are found
// wherever a point between them can tell, and one beside the place where nothing is measured any more.
import { type Fraction, toNumber } from "../base/fraction.js";
import { decimal, spaced, suited } from "../base/spacing.js";
import { goalText } from "../judging/goals.js";
import { inRange } from "../parts/range.js";
import { brackets, dip, nearer, type Point, roots, type Search, verges } from "./bracketing.js";
import { GoalCurve } from "./goalcurve.js";
import type { SizedAnswer, SizingOutcome } from "./outcome.js";
import { negligible, type Proposer, type Trial } from "./proposals.js";
import { quick } from "./quick.js";
import { missed, obstacle, onPlateau, setThere } from "./reasons.js";
import { trimAround } from "./trim.js";

/** Narrowing ends at this share of the unknown, below what a run can resolve. */
const accuracy = 1e-8;
/** Points tried where no number is asked for. */
const usual = 17;
/** Most dips that are searched, and most runs for each. */
const dips = 3;
const callsForDip = 16;
/** Most runs to where a measure ceases to occur. */
const callsForVerge = 12;
/** Most answers for which the range against tolerances is worked out. */
const mostTrimmed = 3;

/**
 * Sizes one value for one goal; the check of an answer passes in a run made with it.
 * @param count points to try; undefined: a handful where that is enough, else the usual number
 */
export function single(proposer: Proposer, count: number | undefined, trim: boolean): SizingOutcome {
  const curve = new GoalCurve(proposer);
  const { goal, target, small, unknown } = curve;
  const at = (x: number) => curve.exact(x);
  const one = (value: Fraction) => proposer.tried([value]);
  const answers = (list: readonly Trial[]): SizedAnswer[] =>
    list.map((t) => {
      const exact = at(t.values[0]);
      const found = proposer.answer([exact]);
      return trim && list.length <= mostTrimmed ? { ...found, trim: trimAround(curve, exact) } : found;
    });

  const early = count === undefined ? quick(curve) : undefined;
  const first = early && one(at(early.x));
  // One that an end of the range meets may be one of many.
  const atEnd = early && (early.x === toNumber(unknown.from) || early.x === toNumber(unknown.to));
  if (first?.met && !atEnd)
    return { status: "found", reason: onPlateau(curve, early!.x), answers: answers([first]) };

  const places = spaced(unknown.from, unknown.to, count ?? usual, suited(unknown.from, unknown.to));
  const scan = places.map((value) => curve.at(value));
  const points = merged(curve.inside, scan);
  if (points.every((p) => Number.isNaN(p.y))) {
    const { reason } = curve.evaluation(unknown.from).result;
    return none(`nothing can be measured anywhere in the range: ${reason ?? "no value"}`);
  }
  const best = () => one(at(curve.inside.reduce((a, b) => (Math.abs(b.y) < Math.abs(a.y) ? b : a)).x));
  const values = curve.inside.map((p) => p.y + target);
  const size = Math.max(Math.abs(goal.aim), ...values.map(Math.abs), band(goal.spec.limit));
  if (values.length > 1 && Math.max(...values) - Math.min(...values) <= negligible * size) {
    const reason = `"${goal.spec.name}" measures ${goalText(goal, values[0])} whatever '${unknown.name}' is${setThere(curve)}`;
    return { status: "no effect", reason, answers: [], best: best() };
  }

  const search: Search = { at: (x) => curve.at(at(x)).y, accuracy, small };
  const looked = [...points, ...verges(search, points, callsForVerge)];
  for (const around of lowest(points)) looked.push(...dip(search, around, callsForDip));
  looked.sort((a, b) => a.x - b.x);
  const found = brackets(search, looked).map((bracket) => {
    const ends = [nearer(bracket), bracket.low, bracket.high].map((p) => one(at(p.x)));
    return { bracket, trial: ends.find((t) => t.met) };
  });
  const good = found.flatMap(({ trial }) => trial ?? []);
  if (good.length === 1)
    return { status: "found", reason: onPlateau(curve, good[0].values[0]), answers: answers(good) };
  if (good.length > 1) {
    const reason = `${good.length} values in the range meet the goal`;
    return { status: "several", reason, answers: answers(good) };
  }

  const nearest = best();
  if (nearest.met) {
    const flat = onPlateau(curve, nearest.values[0]);
    const reason = `the goal of ${goalText(goal, goal.aim)} itself is not reached in the range: this is the nearest${flat && `; ${flat}`}`;
    return { status: "found", reason, answers: answers([nearest]) };
  }
  const obstacles = found.map(({ bracket }) => obstacle(curve, bracket));
  const beyond = farther(curve, search);
  return {
    ...missed(curve, obstacles, nearest, beyond),
    answers: [],
    best: nearest,
    beyond,
  };
}

function none(reason: string): SizingOutcome {
  return { status: "none", reason, answers: [] };
}

// The points of both lists in rising order, each place once.
function merged(a: readonly Point[], b: readonly Point[]): Point[] {
  const all = new Map([...b, ...a].map((p) => [p.x, p]));
  return [...all.values()].sort((p, q) => p.x - q.x);
}

// The deepest points that are nearer to zero than both neighbours with no sign change beside them.
function lowest(points: readonly Point[]): [Point, Point, Point][] {
  const found: [Point, Point, Point][] = [];
  for (let i = 1; i + 1 < points.length; i++) {
    const [a, m, b] = [points[i - 1], points[i], points[i + 1]];
    if (!(a.y * m.y > 0 && m.y * b.y > 0)) continue;
    if (Math.abs(m.y) < Math.abs(a.y) && Math.abs(m.y) <= Math.abs(b.y)) found.push([a, m, b]);
  }
  return found.sort((a, b) => Math.abs(a[1].y) - Math.abs(b[1].y)).slice(0, dips);
}

// The nearest answer beyond either end: in ratios of 10^(1/4) up to a hundredfold where the range is above zero, else up to four
// times its width. Values that the part does not allow are not tried.
function farther(curve: GoalCurve, search: Search): Trial | undefined {
  const { from, to, range } = curve.unknown;
  const positive = inRange(from, "positive");
  const width = to.sub(from);
  const beyond = (end: Fraction, outward: 1 | -1): Fraction[] => {
    const far = outward > 0 ? end.mul(100) : end.div(100);
    if (positive && outward > 0) return spaced(end, far, 9, "log").slice(1);
    if (positive) return spaced(far, end, 9, "log").slice(0, -1).reverse();
    return [1, 2, 4].map((n) => end.add(width.mul(outward * n)));
  };
  const ends = [
    { last: curve.at(from), steps: beyond(from, -1) },
    { last: curve.at(to), steps: beyond(to, 1) },
  ];
  // Both ways in step, so that the nearer answer is found first.
  for (let k = 0; k < Math.max(...ends.map((e) => e.steps.length)); k++) {
    for (const end of ends) {
      const step = end.steps[k];
      if (!step || !inRange(step, range)) continue;
      const p = { x: toNumber(step), y: search.at(toNumber(step)) };
      const [found] = roots(
        search,
        [end.last, p].sort((a, b) => a.x - b.x),
      );
      end.last = p;
      const trial = found && curve.proposer.tried([decimal(found.x)]);
      if (trial?.met && !trial.inside) return trial;
    }
  }
  return undefined;
}

function band({ low, high }: { low?: number; high?: number }): number {
  return low !== undefined && high !== undefined ? high - low : 0;
}
