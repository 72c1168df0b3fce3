// A probe, or several, within one leap that does not depend on them. Value and slope are forms over z at the start of the leap,
// carried on by e^(At). Where the leap recurs (leapmatrices.ts) the forms are carried, once per length, so that a look costs two
// short products; elsewhere z itself is carried. Sources that are not in z are played beside it.

import type { Assembly } from "../assembly/assemble.js";
import type { Inputs } from "../stepping/inputs.js";
import { nothingSeen, partingShare, type Seen } from "./accuracy.js";
import type { Sight } from "./forms.js";
import type { FormSet } from "./formset.js";
import { LeapCarry } from "./leapcarry.js";
import { type LeapForm, type Look, lookOver, playOver } from "./leapforms.js";
import { LeapOpening } from "./leapplans.js";
import { LeftRounding } from "./leftrounding.js";
import { MissingStates } from "./missing.js";
import type { ModeView } from "./modeview.js";
import { mendOnset, StretchSizes } from "./onset.js";
import { Pieces } from "./pieces.js";
import type { RailTurns } from "./rails.js";
import type { Recording, Stretch } from "./recording.js";
import { greater, type Roundoff, roundoffSeen } from "./roundoff.js";
import { keepsSign, type RoundedLook, rounded, signChanges } from "./signs.js";
import type { RecurringLeap, StretchView } from "./view.js";

/** The probe within the stretch that was entered last. */
export class LeapStretch implements StretchView {
  readonly pieces: Pieces;
  /** The whole stretch as a recurring leap, made when asked for. */
  private repeated: RecurringLeap | undefined = undefined;
  opening: LeapOpening | undefined = undefined;
  private mode!: ModeView;
  private stretch!: Stretch;
  /** What is read throughout the stretch; absent where guards left out change sign within it. */
  private set: FormSet | undefined = undefined;
  /** What is read at the current tick. */
  private held!: FormSet;
  /** Carry the forms instead of z: because the length recurs, or because something very quick decays. */
  private recurs = false;
  private outlasting = false;
  /** z at the start and at the current tick; entries that the forms do not depend on are stale. */
  private start = new Float64Array(0);
  private z = new Float64Array(0);
  private readonly carrying = new LeapCarry();
  private readonly reach = new StretchSizes();
  /** z at a tick of the current piece, and that tick. */
  private there = new Float64Array(0);
  private reached = Number.NaN;
  private readonly missing: MissingStates;
  private readonly whole: LeapOpening;
  private readonly first = nothingSeen();
  private readonly second = nothingSeen();
  // What is being read: the forms, the z that they are over, and when.
  private forms: readonly LeapForm[] = [];
  private sights: readonly Sight[] = [];
  private seen = this.z;
  private seenAt = Number.NaN;
  private side: 0 | 1 = 0;
  private readonly leaving = new LeftRounding();

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly inputs: Inputs,
  ) {
    this.pieces = new Pieces(inputs);
    this.missing = new MissingStates(assembly, recording, inputs);
    this.whole = new LeapOpening(assembly.clock.seconds, (ticks) => this.carry(ticks));
  }

  /** Goes to a stretch. @param mode the probe in the combination in force there */
  enter(stretch: Stretch, mode: ModeView): this {
    const { motion } = mode.course;
    const { from, to } = stretch;
    this.begin(stretch, mode);
    const turns = mode.guards.length > 0 ? this.railTurns() : undefined;
    this.set = !turns ? mode.plain : turns.signs === undefined ? undefined : mode.variant(turns.signs);
    const { inputs, set } = this;
    this.pieces.enter(stretch, mode.apart, turns?.ticks);
    const seeing = set !== undefined && set.forms.length > 0;
    this.recurs = seeing && inputs.recurs(from, to, motion.voices);
    this.outlasting = seeing && set.outlastsWhole(to - from);
    this.opening = undefined;
    if (seeing && to > from && !this.outlasting && mode.apart.length === 0 && set.single)
      this.opening = this.whole.begin(set, stretch, this.start);
    return this;
  }

  /** The same for a few looks: neither corners nor recurrence of the leap are worked out. */
  glance(stretch: Stretch, mode: ModeView): this {
    this.begin(stretch, mode);
    this.set = mode.guards.length > 0 ? undefined : mode.plain;
    this.pieces.enter(stretch);
    this.recurs = false;
    const { set } = this;
    this.outlasting =
      set !== undefined && set.forms.length > 0 && set.outlastsWhole(stretch.to - stretch.from);
    this.opening = undefined;
    return this;
  }

  private begin(stretch: Stretch, mode: ModeView): void {
    const { recording, inputs, missing } = this;
    const { index, from } = stretch;
    const { motion } = mode.course;
    this.mode = mode;
    this.stretch = stretch;
    this.repeated = undefined;
    missing.complete(index, mode.mask);
    missing.complete(stretch.end, mode.mask);
    if (this.start.length !== motion.width) {
      this.start = new Float64Array(motion.width);
      this.z = new Float64Array(motion.width);
    }
    this.reach.enter(motion.width);
    this.carrying.begin(motion.width);
    motion.drive(inputs, from, 1, this.start, mode.voices);
    recording.readSome(index, mode.states, this.start);
    this.seenAt = Number.NaN;
    this.leaving.begin();
  }

  get recurring(): RecurringLeap | undefined {
    if (this.recurs) this.repeated ??= this.leapOf(this.stretch.from, this.stretch.to, this.start);
    return this.repeated;
  }

  get turn(): number {
    return this.mode.turn;
  }

  piece(from: number, to: number): void {
    const { mode, pieces, stretch } = this;
    this.reached = Number.NaN;
    if (mode.guards.length === 0 || !pieces.several) return;
    // Near a corner rounding may give a guard either sign: the middle tells which holds.
    const middle = Math.max(from, Math.min(to, Math.floor((from + to) / 2)));
    this.carry(middle - stretch.from);
    this.set = mode.variant(this.signs(this.z, middle, 1));
  }

  block(from: number, ticks: number): RecurringLeap | undefined {
    const { mode, stretch } = this;
    const { matrices, motion } = mode.course;
    if (this.there.length !== motion.width) this.there = new Float64Array(motion.width);
    if (this.reached <= from) {
      if (this.reached < from) matrices.leapSome(this.there, from - this.reached, mode.moving, mode.levels);
    } else {
      this.carry(from - stretch.from);
      this.there.set(this.z);
    }
    this.reached = from;
    return this.leapOf(from, from + ticks, this.there);
  }

  /** A leap of a recurring length; undefined where what is read has sources that are not in z. */
  private leapOf(from: number, to: number, start: Float64Array): RecurringLeap | undefined {
    const { set, mode } = this;
    if (!set || set.forms.length === 0 || mode.apart.length > 0) return undefined;
    const { sights, forms, single } = set;
    const plain = single !== undefined;
    return { from, to, whole: set.leap(to - from), start, forms: forms.length, sights, plain };
  }

  /** Moves z to `ticks` after the start of the stretch. */
  private carry(ticks: number): Float64Array {
    this.seenAt = Number.NaN;
    return this.carrying.to(this.mode, this.start, ticks, this.z);
  }

  look(tick: number, side: 0 | 1, into: Seen, sight = 0): void {
    if (tick !== this.seenAt || side !== this.side) this.stand(tick, side);
    const { first, second } = this;
    const which = this.sights[sight];
    into.tick = tick;
    if (which.length === 1) {
      this.lookAt(which[0], tick, into);
      return;
    }
    into.value = 0;
    into.slope = 0;
    for (let k = 0; k < which.length; k += 2) {
      this.lookAt(which[k], tick, first);
      this.lookAt(which[k + 1], tick, second);
      into.value += first.value * second.value;
      into.slope += first.slope * second.value + first.value * second.slope;
    }
  }

  private lookAt(form: number, tick: number, into: Seen): void {
    const { forms, seen, set, start, stretch, outlasting, side } = this;
    this.evaluate(forms[form], seen, tick, side, into);
    if (!outlasting || seen !== start || tick !== stretch.from) return;
    const onset = { tick, sizes: this.sizesWithin(), ticks: stretch.to - tick };
    mendOnset(set!, form, onset, into, (at, look) => this.evaluate(at, start, tick, side, look));
  }

  /** The largest absolute values that z reaches within the stretch. */
  private sizesWithin(): Float64Array {
    const { reach, stretch, start, mode } = this;
    return reach.of(start, mode.entries, stretch.to - stretch.from, (ticks) => this.carry(ticks));
  }

  blur(sight = 0): number {
    if (!this.outlasting) return 0;
    const { sights, forms } = this.set!;
    return roundoffSeen(sights[sight], forms, this.sizesWithin(), 0).value;
  }

  roundoff(tick: number, far: boolean, sight = 0): Roundoff {
    if (tick !== this.seenAt) this.stand(tick, 1);
    const which = this.sights[sight];
    const elapsed = (tick - this.stretch.from) * this.assembly.clock.seconds;
    const near = roundoffSeen(which, this.forms, this.seen, elapsed);
    const { stretch, seen, z, held: set, start } = this;
    const ticks = tick - stretch.from;
    if (far && ticks > 0 && tick < stretch.to) {
      const here = seen === z ? roundoffSeen(which, this.forms, z, 0) : undefined;
      const look = { set, sight, start, ticks, elapsed, near, here };
      const evaluate = (form: LeapForm, over: Float64Array, into: Look) =>
        this.evaluate(form, over, tick, this.side, into);
      return this.leaving.far(look, (length) => this.carry(length), evaluate);
    }
    if (seen !== z) return near;
    // z itself was carried: terms beside a state that have cancelled since left their rounding in it. Where something is quick,
    // the error of its slope does not add up over time; the error of a slope here and now stays.
    const here = roundoffSeen(which, this.forms, this.seen, 0);
    if (near.value <= 64 * here.value) return near;
    return greater(here, roundoffSeen(which, set.pulled(ticks), start, elapsed));
  }

  /** Goes to a tick: to z there, or to the forms over z at the start that hold there. */
  private stand(tick: number, side: 0 | 1): void {
    const { mode, stretch, start, z, set } = this;
    this.forms = set ? set.forms : [];
    this.seen = z;
    if (tick === stretch.from) this.seen = start;
    else if ((this.recurs && tick < stretch.to) || (this.outlasting && set!.outlasts(tick - stretch.from))) {
      this.forms = this.recurs ? set!.after(tick - stretch.from) : set!.pulled(tick - stretch.from);
      this.seen = start;
    } else if (tick === stretch.to) this.arrive();
    else this.carry(tick - stretch.from);
    this.held = set ?? mode.variant(this.signs(this.seen, tick, side));
    if (!set) this.forms = this.held.forms;
    this.sights = this.held.sights;
    this.seenAt = tick;
    this.side = side;
  }

  /** Moves z to the end of the stretch. */
  private arrive(): void {
    const { stretch, z, mode, inputs, recording } = this;
    recording.readSome(stretch.end, mode.states, z);
    mode.course.motion.drive(inputs, stretch.to, 0, z, mode.voices);
  }

  /** A form at z, with the sources that are not in z. */
  private evaluate(form: LeapForm, z: Float64Array, tick: number, side: 0 | 1, into: Look): void {
    lookOver(form, z, into);
    playOver(form.apart, this.inputs.players, tick, side, into);
  }

  /** Which guards left out are violated at an instant. */
  private signs(z: Float64Array, tick: number, side: 0 | 1): string {
    let signs = "";
    for (const guard of this.mode.guards) {
      this.evaluate(guard, z, tick, side, this.first);
      signs += this.first.value > 0 ? "1" : "0";
    }
    return signs;
  }

  /** The signs of the guards left out, where all of them plainly keep theirs throughout the stretch. */
  private firmSigns(): string | undefined {
    const { mode, stretch, start, z, inputs, assembly } = this;
    const { from, to } = stretch;
    const step = Math.floor(partingShare * (to - from));
    if (step === 0) return undefined;
    const looks = mode.guards.map(() => [nothingSeen(), nothingSeen(), nothingSeen()] as const);
    const see = (k: 0 | 1 | 2, at: Float64Array, tick: number) => {
      for (const [g, guard] of mode.guards.entries()) {
        this.evaluate(guard, at, tick, tick < to ? 1 : 0, looks[g][k]);
        looks[g][k].tick = tick;
      }
    };
    see(0, start, from);
    for (const s of mode.apart) if (inputs.players[s - 1].next(from) < to) return undefined;
    this.carry(step);
    see(1, z, from + step);
    this.arrive();
    see(2, z, to);
    if (!looks.every((three) => keepsSign(three, assembly.clock.seconds))) return undefined;
    return looks.map(([, { value }]) => (value > 0 ? "1" : "0")).join("");
  }

  /** Where the guards left out change sign over the stretch. */
  private railTurns(): RailTurns {
    const { stretch, mode, assembly } = this;
    const { from, to } = stretch;
    const known = mode.rails?.turns?.get(from);
    if (known?.to === to) return known;
    const signs = this.firmSigns();
    const found = new Set<number>();
    for (const guard of signs === undefined ? mode.guards : [])
      for (const n of signChanges((tick) => this.along(guard, tick), from, to, assembly.clock.seconds))
        found.add(n);
    const turns = { to, signs, ticks: [...found].sort((a, b) => a - b) };
    if (from < to) mode.rails?.turns?.set(from, turns);
    return turns;
  }

  private along(form: LeapForm, tick: number): RoundedLook {
    const { stretch, z, first } = this;
    this.carry(tick - stretch.from);
    this.evaluate(form, z, tick, tick < stretch.to ? 1 : 0, first);
    first.tick = tick;
    return rounded(form, first, z, (tick - stretch.from) * this.assembly.clock.seconds);
  }
}
