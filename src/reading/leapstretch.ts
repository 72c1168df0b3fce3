// A probe within one leap, or several that it does not notice. Value and slope are forms over z at the start of the leap,
// carried on by e^(At). Where the leap will come again (leapmatrices.ts) the forms are carried, once for each length, so that a
// look costs two short products; in any other z itself is. What comes from sources that move nothing here is played beside it.

import type { Assembly } from "../assembly/assemble.js";
import type { Inputs } from "../stepping/inputs.js";
import type { Seen } from "./accuracy.js";
import type { LeapForm } from "./leapforms.js";
import { MissingStates } from "./missing.js";
import type { ModeView } from "./modeview.js";
import type { Recording, Stretch } from "./recording.js";
import { type Roundoff, roundoffOf, roundoffOfProducts } from "./roundoff.js";
import { type RoundedLook, rounded, signChanges } from "./signs.js";
import type { RecurringLeap, StretchView } from "./view.js";

const none: readonly number[] = [];

/** The probe within the stretch that was entered last. */
export class LeapStretch implements StretchView {
  corners: readonly number[] = none;
  recurring: RecurringLeap | undefined;
  private mode!: ModeView;
  private stretch!: Stretch;
  /** The forms are carried on, and not z. */
  private carried = false;
  private start = new Float64Array(0);
  private z = new Float64Array(0);
  private readonly missing: MissingStates;
  private readonly first = nothingSeen();
  private readonly second = nothingSeen();
  // What was looked at last: the z that its forms are over, and when.
  private seen = this.z;
  private seenAt = 0;

  constructor(
    private readonly assembly: Assembly,
    private readonly recording: Recording,
    private readonly inputs: Inputs,
  ) {
    this.missing = new MissingStates(assembly, recording, inputs);
  }

  /** Goes to a stretch. @param mode the probe in the combination in force there */
  enter(stretch: Stretch, mode: ModeView): this {
    const { recording, inputs, missing } = this;
    const { index, from, to } = stretch;
    const { motion } = mode.course;
    this.mode = mode;
    this.stretch = stretch;
    missing.complete(index, mode.mask);
    missing.complete(stretch.end, mode.mask);
    if (this.start.length !== motion.width) {
      this.start = new Float64Array(motion.width);
      this.z = new Float64Array(motion.width);
    }
    motion.begin(inputs, from, this.start);
    recording.read(index, this.start);
    const still = mode.apart.length === 0 && mode.guards.length === 0;
    this.carried =
      mode.guards.length === 0 && mode.forms.length > 0 && inputs.recurs(from, to, motion.voices);
    this.corners = still ? none : this.cornersWithin();
    const plain = this.carried && mode.apart.length === 0 && !mode.products && to > from;
    this.recurring = plain ? { from, to, whole: mode.leap(to - from), start: this.start } : undefined;
    return this;
  }

  look(tick: number, side: 0 | 1, into: Seen): void {
    const { mode, stretch, start, z, inputs } = this;
    let { forms } = mode;
    let seen = z;
    if (tick === stretch.from) seen = start;
    else if (tick === stretch.to) {
      this.recording.read(stretch.end, z);
      mode.course.motion.drive(inputs, tick, z);
    } else if (this.carried) {
      forms = mode.after(tick - stretch.from);
      seen = start;
    } else {
      const { entries, moving, levels } = mode;
      for (let k = 0; k < entries.length; k++) z[entries[k]] = start[entries[k]];
      mode.course.matrices.leapSome(z, tick - stretch.from, moving, levels);
    }
    for (let k = 0; k < mode.apart.length; k++) inputs.players[mode.apart[k] - 1].seek(tick, side);
    if (mode.guards.length > 0) forms = mode.variant(this.signs(seen, tick));
    this.seen = seen;
    this.seenAt = tick;
    into.tick = tick;
    if (!mode.products) {
      this.evaluate(forms[0], seen, tick, into);
      return;
    }
    const { first, second } = this;
    into.value = 0;
    into.slope = 0;
    for (let k = 0; k < forms.length; k += 2) {
      this.evaluate(forms[k], seen, tick, first);
      this.evaluate(forms[k + 1], seen, tick, second);
      into.value += first.value * second.value;
      into.slope += first.slope * second.value + first.value * second.slope;
    }
  }

  roundoff(tick: number, far: boolean): Roundoff {
    const { mode, start } = this;
    if (tick !== this.seenAt) this.look(tick, 1, nothingSeen());
    const elapsed = this.elapsed(tick);
    const near = this.roundoffOver(mode.forms, this.seen, elapsed);
    if (this.seen !== this.z) return near;
    // z itself was carried: what stood beside a state at the start, and has cancelled since, left its rounding in it; and where
    // something is quick, its slope is a difference of large terms that does not add up.
    const quick = near.value > 64 * this.roundoffOver(mode.forms, this.seen, 0).value;
    if (!far && !quick) return near;
    return this.roundoffOver(mode.before(tick - this.stretch.from), start, elapsed);
  }

  private roundoffOver(forms: readonly LeapForm[], z: Float64Array, elapsed: number): Roundoff {
    return this.mode.products ? roundoffOfProducts(forms, z, elapsed) : roundoffOf(forms[0], z, elapsed);
  }

  private elapsed(tick: number): number {
    return (tick - this.stretch.from) * this.assembly.clock.seconds;
  }

  /** A form at z, and what comes from sources that are not in it as they were sought. */
  private evaluate(
    { value, slope, entries, apart }: LeapForm,
    z: Float64Array,
    tick: number,
    into: Seen,
  ): void {
    let v = 0;
    let d = 0;
    for (let k = 0; k < entries.length; k++) {
      const j = entries[k];
      v += value[j] * z[j];
      d += slope[j] * z[j];
    }
    for (let k = 0; k < apart.length; k++) {
      const { source, level, slope: by } = apart[k];
      const player = this.inputs.players[source - 1];
      const rise = player.slope(tick);
      v += level * player.value(tick) + by * rise;
      d += level * rise + by * player.bend(tick);
    }
    into.value = v;
    into.slope = d;
  }

  /** Which guards left out are violated at an instant. */
  private signs(z: Float64Array, tick: number): string {
    let signs = "";
    for (const guard of this.mode.guards) {
      this.evaluate(guard, z, tick, this.first);
      signs += this.first.value > 0 ? "1" : "0";
    }
    return signs;
  }

  /** Where a source that is not in z has a corner, and where a guard left out changes its sign. */
  private cornersWithin(): number[] {
    const { mode, inputs, assembly } = this;
    const { from, to } = this.stretch;
    const found = new Set<number>();
    for (const guard of mode.guards)
      for (const n of signChanges((tick) => this.along(guard, tick), from, to, assembly.clock.seconds))
        found.add(n);
    for (const s of mode.apart) {
      const player = inputs.players[s - 1];
      for (let n = player.next(from); n < to; n = player.next(n)) found.add(n);
    }
    return [...found].sort((a, b) => a - b);
  }

  /** One form at a tick of the stretch. */
  private along(form: LeapForm, tick: number): RoundedLook {
    const { stretch, start, z, mode, inputs, first } = this;
    z.set(start);
    if (tick > stretch.from) mode.course.matrices.leap(z, tick - stretch.from, false);
    for (const { source } of form.apart) inputs.players[source - 1].seek(tick, tick < stretch.to ? 1 : 0);
    this.evaluate(form, z, tick, first);
    first.tick = tick;
    return rounded(form, first, z, this.elapsed(tick));
  }
}

function nothingSeen(): Seen {
  return { tick: 0, value: 0, slope: 0 };
}
