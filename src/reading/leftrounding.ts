// What carrying z along leaves of rounding. What a quick state's slope is off by adds up for as long as that state remembers:
// longer than that it does not show in forms that are carried to the start, which have died away, but each of the leaps that a
// look is made of leaves it anew. So it is the largest at any time since the start, and not what it is at its end.
import { bitLength, powerOfTwo } from "../stepping/binary.js";
import type { FormSet } from "./formset.js";
import type { LeapForm, Look } from "./leapforms.js";
import { greater, type Roundoff, roundoffSeen, waysApart } from "./roundoff.js";

/** Binary places from one time that is looked at to the next: what rises and falls over a decade is met near its height. */
const stride = 3;

/** A look into a stretch that has been parted often. */
interface FarLook {
  readonly set: FormSet;
  /** Its number in the set. */
  readonly sight: number;
  /** z at the start of the stretch. */
  readonly start: Float64Array;
  /** How far behind it the look is, and the same in s. */
  readonly ticks: number;
  readonly elapsed: number;
  /** Its rounding as the forms have it that it goes by. */
  readonly near: Roundoff;
  /** Where it goes by z carried along: as the forms over that have it. */
  readonly here: Roundoff | undefined;
}

/** Keeps what was found for the stretch in hand. */
export class LeftRounding {
  private held: FormSet | undefined;
  /** By sight: the largest up to each of the times looked at. */
  private largest: number[][] = [];

  /** A new stretch. */
  begin(): void {
    this.held = undefined;
  }

  /**
   * The rounding of a value after so many ticks, in its unit.
   * @param sight its number in the set
   * @param start z at the start of the stretch
   */
  until(ticks: number, sight: number, set: FormSet, start: Float64Array): number {
    if (this.held !== set) {
      this.held = set;
      this.largest = [];
    }
    this.largest[sight] ??= [];
    const known = this.largest[sight];
    const places = Math.floor((bitLength(ticks) - 1) / stride);
    while (known.length <= places) {
      const length = powerOfTwo(stride * known.length);
      const { value } = roundoffSeen(set.sights[sight], set.pulled(length), start, set.seconds(length));
      known.push(Math.max(value, known[known.length - 1] ?? 0));
    }
    return places < 0 ? 0 : known[places];
  }

  /**
   * The rounding of a look, held against what rounding does to that look: it is made another way.
   * @param carry takes z from the start so many ticks on
   * @param evaluate looks at a form over a z
   */
  far(
    { set, sight, start, ticks, elapsed, near, here }: FarLook,
    carry: (ticks: number) => Float64Array,
    evaluate: (form: LeapForm, z: Float64Array, into: Look) => void,
  ): Roundoff {
    const which = set.sights[sight];
    const forms = set.pulled(ticks);
    let most = near;
    if (here) {
      most = greater(here, roundoffSeen(which, forms, start, elapsed));
      most = greater(most, { value: this.until(ticks, sight, set, start), slope: 0 });
    }
    const ways = [
      { forms, z: start },
      { forms: set.forms, z: carry(ticks) },
    ] as const;
    return greater(most, waysApart(which, ways, evaluate));
  }
}
