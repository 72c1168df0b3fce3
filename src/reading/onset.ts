// What is read where a leap begins, when something in it is far quicker than the leap. z holds few or no digits of the small
// difference between a quick state and what it follows: a current through a capacitor of femtofarads is rounding there. What is
// read a little later, when that difference has decayed, is accurate, and is followed back to the start along its slope; it
// replaces the first where the two differ by rounding alone.
import { partingShare, type Seen } from "./accuracy.js";
import type { FormSet } from "./formset.js";
import type { LeapForm } from "./leapforms.js";
import { roundoffOf } from "./roundoff.js";

/** Binary places between the instants tried, and the longest of them as a share of the leap. */
const stride = 4;
const within = 1 / 16;

/** Where a leap begins. */
interface Onset {
  readonly tick: number;
  /** The largest absolute values of z in the leap: a sine that begins at zero is rounded like one at its peak. */
  readonly sizes: Float64Array;
  /** Length of the leap in ticks. */
  readonly ticks: number;
}

/**
 * Mends a look at the start of a leap in place.
 * @param form its index in the set
 * @param look reads a form there, with the sources that are not in z
 */
export function mendOnset(
  set: FormSet,
  form: number,
  { tick, sizes, ticks }: Onset,
  seen: Seen,
  look: (form: LeapForm, into: Seen) => void,
): void {
  let off = roundoffOf(set.forms[form], sizes, 0);
  const later = { tick, value: 0, slope: 0 };
  for (const length of set.lasting(within * ticks, stride)) {
    const carried = set.after(length)[form];
    look(carried, later);
    const start = later.value - set.seconds(length) * later.slope;
    if (!(Math.abs(start - seen.value) <= off.value && Math.abs(later.slope - seen.slope) <= off.slope))
      return;
    const { value, slope } = roundoffOf(carried, sizes, 0);
    if (value < off.value) seen.value = start;
    if (slope < off.slope) seen.slope = later.slope;
    off = { value: Math.min(value, off.value), slope: Math.min(slope, off.slope) };
  }
}

/** The largest absolute values of z in a stretch: at its start, on the way and at its end. */
export class StretchSizes {
  private sizes = new Float64Array(0);
  private known = false;

  /** Goes to another stretch. @param width of z */
  enter(width: number): void {
    if (this.sizes.length !== width) this.sizes = new Float64Array(width);
    this.known = false;
  }

  /**
   * The values, computed when first asked for.
   * @param ticks length of the stretch
   * @param carry gives these entries of z `ticks` after the start
   */
  of(
    start: Float64Array,
    entries: Int32Array,
    ticks: number,
    carry: (ticks: number) => Float64Array,
  ): Float64Array {
    const { sizes, known } = this;
    if (known) return sizes;
    this.known = true;
    for (const j of entries) sizes[j] = Math.abs(start[j]);
    for (const share of [partingShare, 1]) {
      const z = carry(Math.floor(share * ticks));
      for (const j of entries) sizes[j] = Math.max(sizes[j], Math.abs(z[j]));
    }
    return sizes;
  }
}
