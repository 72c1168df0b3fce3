// The values that a variation tries: a range with a number of points, or values named one by one.
import { type Given, oneOf, refuseOption, wholeNumber } from "../base/asked.js";
import { type Fraction, toNumber } from "../base/fraction.js";
import { seriesNames } from "../base/series.js";
import { type Spacing, spaced, suited } from "../base/spacing.js";
import type { SettableValue } from "../design/revalue.js";
import { settableTo } from "../judging/settable.js";
import { inRange } from "../parts/range.js";

/** The values to try. */
export interface VariedRange {
  /** Start of the range: text with a unit, or a number in SI units. */
  readonly from?: Given;
  /** Its end, above its start. */
  readonly to?: Given;
  /** The values themselves, in place of a range: `["10 nF", "15 nF", "22 nF"]`. */
  readonly values?: readonly Given[];
  /** How many points, 2 to 10 000; 21 unless given. A series gives all its values in the range. */
  readonly points?: number;
  /**
   * Even distances, even ratios, or the preferred values of a series, `E3` to `E192`. Default: even ratios where the range spans
   * more than an octave above zero, else even distances.
   */
  readonly spacing?: Spacing;
}

/** The most points. */
const most = 10_000;

/** The values that are tried, rising, and how they are spaced. */
export function pointsOf(
  value: SettableValue,
  options: VariedRange,
): { points: readonly Fraction[]; spacing: Spacing } {
  if (options.values !== undefined) {
    const points = namedPoints(value, options);
    return { points, spacing: suited(points[0], points.at(-1)!) };
  }
  if (options.from === undefined || options.to === undefined)
    refuseOption(options.from === undefined ? "from" : "to", "a range has two ends", "or name the values");
  const [from, to] = [settableTo(value, options.from, "from"), settableTo(value, options.to, "to")];
  if (!to.gt(from)) refuseOption("to", "the range does not rise from its start to its end");
  const { points: count = 21, spacing = suited(from, to) } = options;
  wholeNumber("points", count, 2, most);
  oneOf<Spacing>("spacing", spacing, ["linear", "log", ...seriesNames]);
  if (spacing !== "linear" && !inRange(from, "positive"))
    refuseOption(
      "from",
      `a range with ${spacing === "log" ? "even ratios" : "preferred values"} begins above zero`,
    );
  const points = spaced(from, to, count, spacing);
  if (points.length === 0) refuseOption("spacing", `no value of ${spacing} lies in the range`);
  if (points.length > most)
    refuseOption("points", `${points.length} values lie in the range, allowed are ${most}`);
  return { points, spacing };
}

// Values that were named one by one, sorted.
function namedPoints(value: SettableValue, { values, ...others }: VariedRange): readonly Fraction[] {
  for (const name of ["from", "to", "points", "spacing"] as const)
    if (others[name] !== undefined) refuseOption(name, "the values are named one by one");
  if (!Array.isArray(values) || values.length === 0)
    return refuseOption("values", "expected a list of values");
  if (values.length > most) refuseOption("values", `${values.length} are too many, allowed are ${most}`);
  const points = values.map((one: Given) => settableTo(value, one, "values")).sort((a, b) => a.compare(b));
  const twice = points.find((p, i) => i > 0 && p.equals(points[i - 1]));
  if (twice) refuseOption("values", `${toNumber(twice)} stands there twice`);
  return points;
}
