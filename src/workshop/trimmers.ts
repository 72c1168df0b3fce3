// The order in which a design's trimmers are set: the unknowns of each `find`, and potentiometers. For each: where to look, what
// to aim for, which way to turn, and how much of its range is left, from sizing and from the effect of a small turn on every
// target. A trimmer that affects another's target is set before it. Where two affect each other's, both are set again.

import { Matrix, pseudoInverse } from "ml-matrix";
import { asked } from "../base/asked.js";
import { dimension, unitOf } from "../base/dimension.js";
import { type Fraction, ratio, toNumber } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import type { Amount, Design, FindSpec, Setting } from "../design/design.js";
import { type CheckHeading, headingOf } from "../design/heading.js";
import { settableValues } from "../design/revalue.js";
import { evaluateGoals } from "../judging/evaluation.js";
import { type Goal, goalOf, goalsIn } from "../judging/goals.js";
import { Influence } from "../judging/influence.js";
import { withValues } from "../judging/settable.js";
import type { Run } from "../reading/result.js";
import type { SimulateOptions } from "../simulation/options.js";
import { size } from "../sizing/sizing.js";
import type { Trim } from "../sizing/trim.js";

/** What a trimmer is set for, and where that is seen. SI units. */
export interface TrimmerTarget extends CheckHeading {
  /** The value to aim for. */
  readonly aim: number;
  /** Measured with the trimmer as drawn. */
  readonly measured: number;
  /** Whether the measured value rises with the trimmer's. */
  readonly rises: boolean;
  /** How far it moves over the trimmer's whole range, taken as straight. */
  readonly reach: number;
}

/** One trimmer. SI units; a potentiometer's value is the share from its tail to its tap. */
export interface Trimmer {
  /** Full name of its value: `timing`, `brightness.at`. */
  readonly name: string;
  /** SI unit of the value; empty for a share. */
  readonly unit: string;
  /** True for a potentiometer that a hand turns. */
  readonly turned: boolean;
  /** As drawn. */
  readonly at: number;
  /** One end of its range. */
  readonly from: number;
  /** The other, above it. */
  readonly to: number;
  /** Absent where no check between two bounds depends on it. */
  readonly target?: TrimmerTarget;
  /** What a trimmer without a target is set by; absent where it does not affect a tube's light. */
  readonly light?: TrimmerLight;
  /** The value that meets the target; absent where none does. */
  readonly setting?: number;
  /** Which way to turn from the drawn position to the setting. */
  readonly turn?: "up" | "down" | "stay";
  /** What is left of the range on either side of the setting, as shares of the range. */
  readonly left?: RangeLeft;
  /** The range it needs so that the target is met whatever the tolerances do; absent where none matters. */
  readonly trim?: Trim;
  /** Names of the trimmers set earlier whose targets it affects: these must be checked again. */
  readonly again: readonly string[];
  /** Checks that it moves though no trimmer is set for them: they may fail where its target is met. */
  readonly besides: readonly CheckHeading[];
}

/** The light of a tube, by which a trimmer is set by eye. SI units. */
export interface TrimmerLight {
  /** Full name of the tube. */
  readonly tube: string;
  /** The place that drives it. */
  readonly drive: string;
  /** Drive at which it is just dark. */
  readonly cutoff: number;
}

/** What is left of a trimmer's range, as shares of the range. */
export interface RangeLeft {
  /** Downwards. */
  readonly below: number;
  /** Upwards. */
  readonly above: number;
}

/** How to set trimmers. */
export interface TrimmersOptions {
  /** Options for every run. */
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
  /** Called with the reason of each run that stopped early. */
  readonly stopped?: (reason: string) => void;
}

/** A trimmer's whole range affects another's target if it moves it by more than this share of its tolerated error. */
const felt = 0.1;
/** A small turn, as a share of the range. */
const small = 0.01;
/** The finest setting of a trimmer, as a share of its range. */
const settable = 0.001;

interface Candidate {
  readonly name: string;
  readonly amount: Amount;
  readonly turned: boolean;
  readonly from: Fraction;
  readonly to: Fraction;
  readonly goal?: Goal;
}

/**
 * The design's trimmers, in the order in which to set them; empty where it has none.
 *
 * @category Bench and stock
 * @example
 * ```ts
 * const [first] = trimmers(design);
 * first.name; // "timing"
 * first.turn; // "up"
 * ```
 * @throws DesignError for invalid options of simulate
 */
export function trimmers(design: Design, options: TrimmersOptions = {}): Trimmer[] {
  handed("design", design);
  asked(options, { simulate: "object", stopped: "function" });
  const { simulate } = options;
  const all = candidates(design);
  if (all.length === 0) return [];
  const goals = [...goalsIn(design)];
  for (const { goal } of all)
    if (goal && !goals.some((g) => g.spec === goal.spec && g.case === goal.case)) goals.push(goal);
  const ran = (run: Run) => {
    if (run.status === "stopped") options.stopped?.(run.reason);
  };
  const measured = (values: ReadonlyMap<string, Setting>) =>
    evaluateGoals(design, goals, values, { simulate, ran }).map(({ value }) => value);
  const drawn = measured(new Map());
  const moved = all.map((one) => reaches(one, drawn, measured));
  const targets = targetsOf(all, goals, moved);
  // What trimmer i, over its whole range, does to the target of j, as a share of the error allowed there.
  const share = (i: number, j: number) => Math.abs(moved[i][targets[j]]) / room(goals[targets[j]]);
  const felts = all.map((_, i) =>
    all.map((_, j) => i !== j && targets[i] >= 0 && targets[j] >= 0 && share(i, j) > felt),
  );
  const order = ordered(felts);
  // Each is set together with those set before it.
  let set = design;
  return order.map((i, turn): Trimmer => {
    const again = order
      .slice(0, turn)
      .filter((j) => felts[i][j])
      .map((j) => all[j].name);
    const besides = goals.flatMap(({ spec, case: name }, k) =>
      !targets.includes(k) && Math.abs(moved[i][k]) / room(goals[k]) > felt ? [headingOf(spec, name)] : [],
    );
    const goal = goals[targets[i]];
    if (!goal) return { ...base(all[i]), ...lightOn(design, all[i]), again, besides };
    const target = targetOf(goal, drawn[targets[i]], moved[i][targets[i]]);
    const setting = settingOf(set, all[i], goal, options);
    if (setting) set = withValues(set, { [all[i].name]: setting.setting });
    return { ...base(all[i]), again, besides, target, ...setting };
  });
}

function base({ name, amount, turned, from, to }: Candidate) {
  const unit = unitOf(amount.dimension);
  return {
    name,
    unit: unit === unitOf(dimension.number) ? "" : unit,
    turned,
    at: toNumber(amount.value),
    from: toNumber(from),
    to: toNumber(to),
  };
}

/** The first tube whose drive a potentiometer affects. */
function lightOn(design: Design, { name, turned }: Candidate): Pick<Trimmer, "light"> {
  const own = design.parts.findIndex((p) => turned && p.name === name.slice(0, name.lastIndexOf(".")));
  const reach = own < 0 ? undefined : new Influence(design);
  for (const part of reach ? design.parts : []) {
    const beam = part.kind.beam?.(part);
    const drive = design.places[part.tail];
    if (beam && part.tail > 0 && reach!.of({ target: drive })?.has(own))
      return { light: { tube: part.name, drive, cutoff: beam.cutoff } };
  }
  return {};
}

function candidates(design: Design): Candidate[] {
  const values = settableValues(design);
  const found: Candidate[] = [];
  for (const { unknowns, goals } of design.finds)
    for (const { name, from, to } of unknowns) {
      const value = values.get(name);
      if (value && !found.some((one) => one.name === name))
        found.push({ name, amount: value.amount, turned: false, from, to, goal: goalOf(design, goals[0]) });
    }
  for (const { name: part, kind } of design.parts) {
    const name = `${part}.${kind.turns}`;
    const value = kind.turns === undefined ? undefined : values.get(name);
    if (value && !found.some((one) => one.name === name))
      found.push({ name, amount: value.amount, turned: true, from: ratio(0), to: ratio(1) });
  }
  return found;
}

/** The effect of a trimmer's whole range on each goal, from a small turn either way. */
function reaches(
  { name, amount, from, to }: Candidate,
  drawn: readonly number[],
  measured: (values: ReadonlyMap<string, Setting>) => readonly number[],
): number[] {
  const step = to.sub(from).mul(ratio(1, Math.round(1 / small)));
  const up = amount.value.add(step);
  const down = amount.value.sub(step);
  const high = up.lt(to) ? measured(new Map([[name, up]])) : drawn;
  const low = down.gt(from) ? measured(new Map([[name, down]])) : drawn;
  const steps = Number(high !== drawn) + Number(low !== drawn);
  return drawn.map((_, k) => (steps === 0 ? 0 : (high[k] - low[k]) / (steps * small) || 0));
}

/**
 * A target for each trimmer, as an index into the goals, -1 where there is none: the goal of its `find`, else a goal between two
 * bounds that it affects; no two share a goal. With G what the trimmers move, the relative gain of a trimmer on a goal, an entry
 * of G ∘ (G⁺)ᵀ, says how much of its effect is left when all others hold the other goals: the pair nearest to one goes first
 * (E. H. Bristol, IEEE Trans. Automatic Control 11(1), 1966; from memory).
 */
function targetsOf(
  all: readonly Candidate[],
  goals: readonly Goal[],
  moved: readonly (readonly number[])[],
): number[] {
  const targets = all.map(({ goal }) =>
    goal ? goals.findIndex((g) => g.spec === goal.spec && g.case === goal.case) : -1,
  );
  const share = (i: number, k: number) => {
    const by = moved[i][k] / room(goals[k]);
    return Math.abs(by) > felt ? by : 0;
  };
  const open = goals.flatMap(({ spec: { limit } }, k) =>
    limit.low !== undefined && limit.high !== undefined && !targets.includes(k) ? [k] : [],
  );
  for (;;) {
    const free = [...all.keys()].filter((i) => targets[i] < 0 && open.some((k) => share(i, k) !== 0));
    const left = open.filter((k) => !targets.includes(k) && free.some((i) => share(i, k) !== 0));
    if (free.length === 0 || left.length === 0) return targets;
    const G = new Matrix(free.map((i) => left.map((k) => share(i, k))));
    const gains = Matrix.mul(G, pseudoInverse(G).transpose());
    let best = { i: -1, k: -1, off: Number.POSITIVE_INFINITY };
    for (const [p, i] of free.entries())
      for (const [q, k] of left.entries()) {
        if (share(i, k) === 0) continue;
        const off = Math.abs(gains.get(p, q) - 1);
        if (off < best.off) best = { i, k, off };
      }
    targets[best.i] = best.k;
  }
}

/** How far a goal may be off: half the width between its bounds, else its aim. */
function room({ aim, spec }: Goal): number {
  const { low, high } = spec.limit;
  return (low !== undefined && high !== undefined ? (high - low) / 2 : Math.abs(aim)) || 1;
}

function targetOf({ spec, case: name, aim }: Goal, measured: number, reach: number): TrimmerTarget {
  return { ...headingOf(spec, name), aim, measured, rises: reach > 0, reach: Math.abs(reach) };
}

function settingOf(design: Design, one: Candidate, goal: Goal, { simulate }: TrimmersOptions) {
  // At the very ends a potentiometer's tap would coincide with one of its places.
  const edge = one.turned ? ratio(1, Math.round(1 / settable)) : ratio(0);
  const request: FindSpec = {
    unknowns: [{ name: one.name, from: one.from.add(edge), to: one.to.sub(edge) }],
    goals: [{ check: goal.spec.name, case: goal.case }],
    span: goal.spec.span,
  };
  const { answers } = size(design, request, { simulate });
  const at = toNumber(one.amount.value);
  const near = [...answers].sort((a, b) => Math.abs(a.values[0] - at) - Math.abs(b.values[0] - at))[0];
  if (!near) return undefined;
  const [setting] = near.values;
  const [from, to] = [toNumber(one.from), toNumber(one.to)];
  const by = (setting - at) / (to - from);
  const turn = Math.abs(by) <= settable ? "stay" : by > 0 ? "up" : "down";
  const left = { below: (setting - from) / (to - from), above: (to - setting) / (to - from) };
  return { setting, turn, left, trim: near.trim } as const;
}

/** First the trimmers whose targets no other affects; where they affect each other, the one affected by the fewest. */
function ordered(felts: readonly (readonly boolean[])[]): number[] {
  const waiting = new Set(felts.keys());
  const order: number[] = [];
  while (waiting.size > 0) {
    const movedBy = (j: number) => [...waiting].filter((i) => felts[i][j]).length;
    const next = [...waiting].reduce((best, j) => (movedBy(j) < movedBy(best) ? j : best));
    waiting.delete(next);
    order.push(next);
  }
  return order;
}
