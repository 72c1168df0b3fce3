// The rounding that carrying z along leaves. The error of a quick state's slope adds up for as long as that state remembers.
// Beyond that it does not show in forms carried to the start, which have decayed, but every leap that makes up a look adds it
// again. So the largest rounding at any time since the start counts, not that at the end.
import { bitLength, powerOfTwo } from "../stepping/binary.js";
import type { FormSet } from "./formset.js";
import type { LeapForm, Look } from "./leapforms.js";
import { greater, type Roundoff, roundoffSeen, triedPlaces, waysApart } from "./roundoff.js";

/** A look into a stretch that has been parted often. */
interface FarLook {
  readonly set: FormSet;
  /** Its index in the set. */
  readonly sight: number;
  /** z at the start of the stretch. */
  readonly start: Float64Array;
  /** Ticks and seconds from there to the look. */
  readonly ticks: number;
  readonly elapsed: number;
  /** Rounding of the look by the forms that it uses. */
  readonly near: Roundoff;
  /** The same by the forms over the carried z, where it uses that. */
  readonly here: Roundoff | undefined;
}

/** Caches the rounding of the current stretch. */
export class LeftRounding {
  private held: FormSet | undefined = undefined;
  /** By sight: the largest up to each of the times tried. */
  private largest: number[][] = [];

  /** Starts another stretch. */
  begin(): void {
    this.held = undefined;
  }

  /**
   * The rounding of a value after `ticks`, in its unit.
   * @param sight its index in the set
   * @param start z at the start of the stretch
   */
  until(ticks: number, sight: number, set: FormSet, start: Float64Array): number {
    if (this.held !== set) {
      this.held = set;
      this.largest = [];
    }
    this.largest[sight] ??= [];
    const known = this.largest[sight];
    const places = Math.floor((bitLength(ticks) - 1) / triedPlaces);
    while (known.length <= places) {
      const length = powerOfTwo(triedPlaces * known.length);
      const { value } = roundoffSeen(set.sights[sight], set.pulled(length), start, set.seconds(length));
      known.push(Math.max(value, known[known.length - 1] ?? 0));
    }
    return places < 0 ? 0 : known[places];
  }

  /**
   * The rounding of a look, checked against the difference from the same look computed another way.
   * @param carry gives z `ticks` after the start
   * @param evaluate reads a form over a z
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
