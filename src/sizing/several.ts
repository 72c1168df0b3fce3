// Several unknowns or several goals: the values with the least sum of squared misses. A miss counts in half widths of the allowed
// band, so that a tight goal weighs more than a loose one. Unknowns without effect, and goals that fix only a combination of the
// unknowns, are reported.
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { decimal, spaced, suited } from "../base/spacing.js";
import { type Goal, goalText, sought } from "../judging/goals.js";
import { inRange } from "../parts/range.js";
import { type Fitted, type Fitting, leastSquares } from "./leastsquares.js";
import type { SizingOutcome } from "./outcome.js";
import { negligible, type Proposer, type Trial, type Unknown } from "./proposals.js";

/** A fit is started from so many of the best places tried first. */
const starts = 3;
/** Beyond this many unknowns the corners of the range are not tried first. */
const cornered = 3;
/** How far beyond its range an unknown is tried where nothing inside will do. */
const farther = ratio(100);

/** Sizes several values, or one for several goals. */
export function several(proposer: Proposer): SizingOutcome {
  const { evaluator, unknowns } = proposer;
  const inside = { low: unknowns.map((u) => u.from), high: unknowns.map((u) => u.to) };
  const places = lookedAt(unknowns);
  const trials = places.map((place) => ({ place, cost: costAt(proposer, place) }));
  const usable = trials.filter(({ cost }) => !Number.isNaN(cost)).sort((a, b) => a.cost - b.cost);
  if (usable.length === 0) {
    const reason = proposer.tried(places[0]).results.find((r) => r.reason)?.reason;
    const what = `the goals cannot be measured anywhere that was looked at: ${reason ?? "no value"}`;
    return { status: "none", reason: what, answers: [] };
  }
  let best: { fitted: Fitted; trial: Trial } | undefined;
  for (const { place } of usable.slice(0, starts)) {
    const found = fitted(proposer, place.map(toNumber), inside);
    if (found && (!best || found.fitted.cost < best.fitted.cost)) best = found;
    if (best?.trial.met) break;
  }
  if (!best) return { status: "none", reason: "no fit could be begun", answers: [] };
  const { fitted: reached, trial } = best;
  const biggest = Math.max(...reached.effects);
  const idle = unknowns.filter((_, i) => !(reached.effects[i] > negligible * Math.max(1, biggest)));
  if (idle.length > 0) {
    const names = idle.map((u) => `'${u.name}'`).join(" and ");
    return { status: "no effect", reason: `no goal depends on ${names}`, answers: [], best: trial };
  }
  if (trial.met) {
    const answers = [proposer.answer(reached.x.map(decimal))];
    if (reached.rank >= unknowns.length) return { status: "found", reason: "", answers };
    const reason = "the goals fix only a combination of the unknowns: this is one of many answers";
    return { status: "several", reason, answers };
  }
  const missed = evaluator.goals.flatMap((goal, k) => missText(goal, trial, k)).join(", ");
  const wide = {
    low: unknowns.map((u) => (inRange(u.from, "positive") ? u.from.div(farther) : lowest(u))),
    high: unknowns.map((u) => (u.range === "share" ? ratio(1) : u.to.add(u.to.sub(u.from).mul(farther)))),
  };
  const beyond = fitted(proposer, reached.x, wide)?.trial;
  if (beyond?.met && !beyond.inside) {
    const reason = `only beyond the ranges allowed are the goals met; inside them ${missed}`;
    return { status: "out of range", reason, answers: [], best: trial, beyond };
  }
  const reason = `nothing in the ranges meets all goals: ${missed}`;
  return { status: "none", reason, answers: [], best: trial };
}

function missText(goal: Goal, { results }: Trial, k: number): string[] {
  const { name, measured, pass } = results[k];
  return pass
    ? []
    : [`"${name}" comes to ${goalText(goal, measured)} instead of ${goalText(goal, goal.aim)}`];
}

function lowest({ from, to, range }: Unknown): Fraction {
  return range === "any" ? from.sub(to.sub(from).mul(farther)) : ratio(0);
}

// The present values if they lie in the ranges, the middle, and a quarter in from every corner.
function lookedAt(unknowns: readonly Unknown[]): Fraction[][] {
  const within = unknowns.every((u) => u.nominal.gte(u.from) && u.nominal.lte(u.to));
  const quarters = unknowns.map((u) => spaced(u.from, u.to, 5, suited(u.from, u.to)));
  let corners: Fraction[][] = [[]];
  if (unknowns.length <= cornered) {
    for (const q of quarters) corners = corners.flatMap((c) => [q[1], q[3]].map((v) => [...c, v]));
  } else corners = [];
  return [...(within ? [unknowns.map((u) => u.nominal)] : []), quarters.map((q) => q[2]), ...corners];
}

// Misses in half widths of the allowed band; for a single bound in shares of it.
function missesAt(proposer: Proposer, place: readonly Fraction[]): number[] {
  const found = proposer.evaluations(place);
  return proposer.evaluator.goals.map((goal, k) => {
    const { low, high } = goal.spec.limit;
    const half = low !== undefined && high !== undefined ? (high - low) / 2 : 0;
    const unit = half > 0 ? half : Math.abs(goal.aim) || 1;
    return (found[k].value - sought(goal, negligible * unit)) / unit;
  });
}

function costAt(proposer: Proposer, place: readonly Fraction[]): number {
  return missesAt(proposer, place).reduce((sum, m) => sum + m * m, 0);
}

function fitted(
  proposer: Proposer,
  start: readonly number[],
  ranges: { readonly low: readonly Fraction[]; readonly high: readonly Fraction[] },
): { fitted: Fitted; trial: Trial } | undefined {
  const fitting: Fitting = {
    misses: (x) => missesAt(proposer, x.map(decimal)),
    low: ranges.low.map(toNumber),
    high: ranges.high.map(toNumber),
    small: negligible,
    accuracy: 1e-9,
  };
  const found = leastSquares(fitting, start);
  return found && { fitted: found, trial: proposer.tried(found.x.map(decimal)) };
}
