// What carrying z along leaves of rounding. What a quick state's slope is off by adds up for as long as that state remembers:
// longer than that it does not show in forms that are carried to the start, which have died away, but each of the leaps that a
// look is made of leaves it anew. So it is the largest at any time since the start, and not what it is at its end.
import { bitLength, powerOfTwo } from "../stepping/binary.js";
import type { FormSet } from "./formset.js";
import { roundoffSeen } from "./roundoff.js";

/** Binary places from one time that is looked at to the next: what rises and falls over a decade is met near its height. */
const stride = 3;

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
}
