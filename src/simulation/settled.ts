// The settled start: the state that one common period of all signals leads back to itself, with the modes and the times
// that are running; of a circuit that counts the periods, as many of them as it takes to come back. Found by shooting
// (T. J. Aprille, T. N. Trick, Proc. IEEE 60(1), 1972): march one period from a guess, carry along the derivatives of its end by
// its start, and correct the guess by Newton's step. Where only sources switch, the period is an affine map and one step is
// exact, whatever the time constants; events that depend on the state add saltation matrices. Where a Newton step leads astray,
// the circuit itself goes on for some periods from where it was, for longer each time, and Newton is tried again from there.

import { Assembly } from "../assembly/assemble.js";
import { type Fraction, one } from "../base/fraction.js";
import { engineering } from "../base/quantity.js";
import type { Sliced } from "../base/slices.js";
import type { Design } from "../design/design.js";
import type { Algebra } from "../equations/system.js";
import { running } from "../signals/mean.js";
import type { MarchOptions } from "../stepping/march.js";
import type { Ending } from "../stepping/sink.js";
import type { Begin } from "../stepping/start.js";
import { departure, type Imbalance } from "./departing.js";
import { otherwiseSettled } from "./memories.js";
import { correction, type NewtonStep } from "./newton.js";
import { commonPeriod } from "./periods.js";
import { betweenBeats, type Drift, drift, residualOf, type Shooting, type Shot, shot } from "./shooting.js";

/** A settled start, or why there is none. */
type Settled =
  | {
      readonly ok: true;
      readonly begin: Begin;
      /** The shot that it is taken from. */
      readonly from: Shot;
      /** Number of periods marched. */
      readonly shots: number;
      /** Largest change of a state over the period, as a share of its swing. */
      readonly residual: number;
      /** Parts that are otherwise in another settled state. */
      readonly otherwise?: readonly number[];
      /** How the least disturbance leaves it, where one does. */
      readonly leaves?: Imbalance;
    }
  | { readonly ok: false; readonly code: string; readonly reason: string };

/** The most periods marched. */
const mostShots = 160;
/** The most periods that the circuit goes on by itself between two chains of Newton steps. */
const longestGo = 16;
/** A change over the period below this share of the swing counts as none. */
const near = 1e-12;
/** A change that Newton steps cannot reduce further is accepted up to this share. */
const accepted = 1e-9;
/** Number of periods from which a run is worth a start that returns to the last bit, since repeats are not marched again. */
const worthFinest = 16;
/** A change below this share of the swing is as near as doubles get. */
const lastBits = 2 ** -51;
/** An amount below this share of a value changes none of its bits. */
const lastBit = 2 ** -54;
/** The most turns of the search for a start to the last bit. */
const mostFinest = 8;
/** Shots in a row that must say of a state that it gains, or keeps whatever it is given, before that is believed. */
const mostAstray = 6;

/**
 * Finds the settled start of a design.
 * @param march how to march; its start is ignored, its limit on steps holds for all periods together
 * @param step a fixed step in seconds
 * @param run the assembly of the run to be started
 */
export function* settledStart(
  design: Design,
  march: Shooting["march"],
  step?: Fraction,
  algebra?: Algebra,
  run = Assembly.of(design, one, step ? [step] : [], algebra),
): Sliced<Settled> {
  const gated = design.parts.some(({ wave }) => wave && running(wave) !== wave);
  const periodic = gated
    ? { ...design, parts: design.parts.map((p) => (p.wave ? { ...p, wave: running(p.wave) } : p)) }
    : design;
  const period = commonPeriod(periodic, run.system);
  if (typeof period === "string") return { ok: false, code: "no-period", reason: period };
  let first: Settled | undefined;
  for (let whole = period, times = 1; ; whole = period.mul(times)) {
    // Where nothing is gated, march a period of the run's own circuit, which makes matrices that the run will need.
    const own = gated || step ? undefined : run.ending(whole);
    const assembly = own ?? Assembly.of(periodic, whole, step ? [step] : [], algebra);
    const search = new Search({ assembly, march, step: step && assembly.clock.at(step) });
    const found = yield* search.run();
    first ??= found;
    // What counts the periods, a divider above all, comes back after several.
    if (!found.ok && times === 1 && search.returning > 1) {
      times = search.returning;
      continue;
    }
    if (!found.ok) return first;
    const otherwise = yield* otherwiseSettled(search.shooting, found.begin, found.from);
    const leaves = departure(found.from, drift(found.from, assembly).sizes);
    const all = { ...found, otherwise, leaves };
    if (!own || march.method !== "leaps" || run.until.div(whole).lt(worthFinest)) return all;
    if (forgetful(found.from, assembly)) return all;
    const longer = run.ending(whole.mul(3));
    return longer ? yield* finest({ assembly: longer, march }, all) : all;
  }
}

/** Whether a period leaves no trace of an error of the start: the run then repeats from its first beat on. */
function forgetful(from: Shot, assembly: Assembly): boolean {
  const { sizes } = drift(from, assembly);
  const { tangent } = from;
  return sizes.every((size, i) => {
    let kept = 0;
    for (let j = 0; j < sizes.length; j++) kept += Math.abs(tangent.get(i, j)) * sizes[j];
    return kept * accepted <= lastBit * size;
  });
}

/**
 * The start from which the first periods of the run return to the last bit, if there is one nearby; else the best found.
 * Marched as the run will be; Newton's step uses the change between two beats in a row. Around the solution rounding leaves
 * a slow state wherever it is, so a step that leads no nearer has gone too far.
 */
function* finest(shooting: Shooting, found: Settled & { readonly ok: true }): Sliced<Settled> {
  const { from } = found;
  const { sizes } = drift(from, shooting.assembly);
  let best: { begin: Begin; residual: number } | undefined;
  let share = 1;
  let { begin } = found;
  for (let turn = 0; turn < mostFinest; turn++) {
    const by = yield* betweenBeats(shooting, begin);
    if (!by) break;
    const residual = residualOf(by, sizes);
    if (!best || residual < best.residual) best = { begin, residual };
    else share /= 2;
    if (residual === 0) break;
    const { step } = correction(from.tangent, by, sizes);
    begin = { ...begin, x: begin.x.map((v, i) => v + share * step[i]) };
  }
  return best && best.residual < accepted ? { ...found, ...best } : found;
}

/** Whether a state at the end of a period does not depend on the start of the period at all. */
function still({ tangent }: Shot, state: number): boolean {
  return tangent.getRow(state).every((by) => by === 0);
}

/** Modes and the times left of those that end by themselves, as a text that is the same where these come back. */
function toldApart({ modes, timers }: Begin): string {
  const times = [...timers].map(([part, left]) => `${part}:${left.toPrecision(7)}`);
  return [...modes, ...times].join();
}

/** After how many entries a list begins anew, if that is seen twice at least; else 1. */
function cycleOf(list: readonly string[]): number {
  for (let length = 1; 2 * length <= list.length; length++)
    if (list.every((entry, i) => i < length || entry === list[i - length])) return length;
  return 1;
}

/** A Newton step should leave less than the first share of the change's energy, and may leave up to the second a few times. */
const strict = 1 / 4;
const lenient = 0.8;
const mostLenient = 3;

/** The search for one start. */
class Search {
  private shots = 0;
  private steps = 0;
  /** The shot that changed least, and its change. */
  private best: { readonly shot: Shot; readonly residual: number } | undefined;
  /** Shots so far if a free state was astray in every one of them; else −1. */
  private astray = 0;

  /**
   * After how many periods the circuit, left to itself, is in the same modes again: 1 if after each, or if that is not known. Told
   * once no period has been found to lead back to its own modes.
   */
  returning = 1;

  constructor(readonly shooting: Shooting) {}

  *run(): Sliced<Settled> {
    // A circuit that never rests, above all a relaxation oscillator, has no steady state to begin from.
    let trail = yield* this.shoot("steady");
    if (trail.ending.status === "stopped" && trail.ending.reached === 0) trail = yield* this.shoot("rest");
    for (let go = 1; ; go = Math.min(2 * go, longestGo)) {
      const ended = yield* this.chain(trail);
      if (ended) return ended;
      // Newton's guesses were no use: the circuit itself goes on from where it was.
      const modes: string[] = [];
      for (let turn = 0; turn < go && trail.ending.status === "complete"; turn++) {
        trail = yield* this.shoot(trail.end);
        modes.push(toldApart(trail.end));
      }
      if (go === longestGo) this.returning = this.best ? 1 : cycleOf(modes);
    }
  }

  /** Newton steps from a shot on, as long as they lead nearer; gives their result, if any. */
  private *chain(from: Shot): Sliced<Settled | undefined> {
    const { assembly } = this.shooting;
    if (from.ending.status === "stopped") return this.stopped(from.ending);
    let guess = from;
    for (let slack = mostLenient; slack > 0; ) {
      let change = drift(guess, assembly);
      if (!change.alike && change.residual <= accepted) {
        // A source that turns on the border may change modes there: these begin the next period and end none.
        const next = yield* this.shoot(guess.end);
        const onward = { ...guess, end: next.begin };
        const again = next.ending.status === "complete" ? drift(onward, assembly) : change;
        if (again.alike) [guess, change] = [onward, again];
      }
      const newton = correction(guess.tangent, change.by, change.sizes);
      const ended = this.ended(guess, change, newton);
      if (ended) return ended;
      // The states come back and the modes do not: no other guess of the states mends that.
      if (change.residual <= near && !change.alike) return undefined;
      // A state that a period brings to rest from any start stays at rest: the least current would find a diode.
      const x = guess.end.x.map((end, i) =>
        end === 0 && still(guess, i) ? 0 : guess.begin.x[i] + newton.step[i],
      );
      const next = yield* this.shoot({ ...guess.end, x });
      const { status, code } = next.ending;
      if (["steps", "time", "cancelled"].includes(code)) return this.stopped(next.ending);
      // A guess may be a state that the circuit cannot be in, or one in which other modes hold.
      if (status === "stopped") return undefined;
      const { joules } = drift(next, assembly);
      if (joules > lenient * change.joules && joules > 0) return undefined;
      if (joules > strict * change.joules) slack--;
      guess = next;
    }
    return undefined;
  }

  /** The result of the search at a shot, if any. */
  private ended(guess: Shot, { residual, alike, by }: Drift, newton: NewtonStep): Settled | undefined {
    const free = newton.astray !== undefined && this.free(newton.astray);
    this.astray = free && this.astray >= 0 ? this.astray + 1 : -1;
    if (this.astray > 0 && (residual <= near || this.astray >= mostAstray))
      return this.unsettled(newton, guess, by);
    if (alike && residual <= near) return this.found(guess, residual);
    const better = alike && !(this.best && this.best.residual <= residual);
    // Where only rounding is left, the best is as good as it gets.
    if (this.best && this.best.residual <= accepted && !better)
      return this.found(this.best.shot, this.best.residual);
    if (better) this.best = { shot: guess, residual };
    return this.shots >= mostShots ? this.given(alike, residual) : undefined;
  }

  private *shoot(start: MarchOptions["start"]): Sliced<Shot> {
    const { march } = this.shooting;
    this.shots++;
    const left = Math.max(1, march.steps - this.steps);
    const one = yield* shot({ ...this.shooting, march: { ...march, steps: left } }, start);
    this.steps += one.ending.steps;
    return one;
  }

  private found(from: Shot, residual: number): Settled {
    const { begin, end, swing } = from;
    // Fast states settle to slow ones within the period, closer than Newton's step has put them; the difference would be a small
    // current between two fast places.
    const off = begin.x.some((v, i) => Math.abs(end.x[i] - v) > lastBits * swing[i]);
    return { ok: true, begin: off ? { ...begin, x: end.x } : begin, from, shots: this.shots, residual };
  }

  private stopped({ code, reason }: Ending): Settled {
    const where = `in period ${this.shots} of the search for the settled start`;
    return { ok: false, code, reason: `${reason}, ${where}` };
  }

  /** The result where no more periods are marched: the best shot, if good enough. */
  private given(alike: boolean, residual: number): Settled {
    const { best, shots } = this;
    if (best && best.residual <= accepted) return this.found(best.shot, best.residual);
    const least = best?.residual ?? residual;
    const what =
      best || alike
        ? `the best still changes by ${least.toPrecision(2)} of its swing`
        : "the modes at the end of a period are never those at its start";
    const code = "not-settled";
    return { ok: false, code, reason: `no periodic state was found in ${shots} periods: ${what}` };
  }

  /** Whether a state has no initial value. */
  private free(state: number): boolean {
    return this.shooting.assembly.system.states[state].initial === undefined;
  }

  private unsettled({ astray, many }: NewtonStep, guess: Shot, by: Float64Array): Settled {
    const { system, clock } = this.shooting.assembly;
    const state = astray!;
    const { part, type } = system.states[state];
    const { name } = system.members[part];
    const unit = type === "inductor" ? "A" : "V";
    const period = engineering(clock.time(clock.end), "s");
    if (many) {
      const kept = engineering(guess.begin.x[state], unit);
      const reason = `'${name}' keeps whatever it is given (${kept} here): every start is periodic, so give it one with 'starts'`;
      return { ok: false, code: "many-settled", reason };
    }
    const reason = `'${name}' gains or loses in every period and never settles: ${engineering(by[state], unit)} in ${period}`;
    return { ok: false, code: "none-settled", reason };
  }
}
