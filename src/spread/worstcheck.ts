// The worst case of one check: the lowest and highest of the corners that were run, the effect of each axis alone, and the root
// of the sum of their squares.
import type { CheckHeading } from "../design/heading.js";
import { judge } from "../measures/verdict.js";
import type { Measured } from "./experiment.js";
import { type Cause, causesOf } from "./summary.js";
import { type Axis, type AxisPlaces, axisWords, bandIn } from "./tolerances.js";

/** The lowest or highest of all places that were run. */
export interface CornerExtreme {
  /** SI. */
  readonly value: number;
  /** Where every axis stands there. */
  readonly causes: readonly Cause[];
}

/** The effect of one axis alone, everything else as designed. SI units. */
export interface Effect {
  /** The axis in words. */
  readonly name: string;
  /** Its low end. */
  readonly from: number;
  /** Its high end. */
  readonly to: number;
  /** SI unit of both. */
  readonly unit: string;
  /** What is measured at its low end. */
  readonly low: number;
  /** What is measured at its high end. */
  readonly high: number;
  /** Its share of the sum of the squares of all effects. */
  readonly share: number;
}

/** The worst case of one check. SI units. */
export interface CornerCheck extends CheckHeading {
  /** What it measures as designed. */
  readonly nominal: number;
  /**
   * The lowest of the corners that were run, of each axis at its ends alone, as designed, and within the tolerances where what an
   * axis does bends; absent where none has a value.
   */
  readonly lowest?: CornerExtreme;
  /** The highest of them. */
  readonly highest?: CornerExtreme;
  /** Whether it passes at all of them, the places within among them. */
  readonly pass: boolean;
  /** The number of corners at which it fails. */
  readonly failing: number;
  /** Why the first corner without a value has none. */
  readonly reason?: string;
  /**
   * The nominal value less and plus the root of the sum of the squares of what each axis moves it to that side: what to expect of
   * many independent parts whose tolerances matter about equally. This assumes that effects add up. Where they do not (one alone
   * brings a ramp to its guard, two together no farther) the sum goes beyond anything that was measured; the band then ends at
   * the lowest and highest of the corners, and `adds` is false.
   */
  readonly squares: {
    /** Lower end of the band. */
    readonly low: number;
    /** Upper end of the band. */
    readonly high: number;
    /** False where the band was cut at the worst case, since the effects do not add up. */
    readonly adds: boolean;
  };
  /** The axes, costliest first. */
  readonly effects: readonly Effect[];
}

/** What a check measures with one axis at either end and everything else as designed. */
export interface AxisAlone {
  /** Index of the axis. */
  readonly axis: number;
  /** For a drift the end of the temperature, 0 or 1; else NaN. */
  readonly warm: number;
  readonly low: number;
  readonly high: number;
}

/** What was measured at some places. */
interface Met {
  readonly value: number;
  readonly places: AxisPlaces;
}

/** The extremes of one check among the places that were run. */
export class CheckExtremes {
  private lowest: Met | undefined = undefined;
  private highest: Met | undefined = undefined;
  private failing = 0;
  /** Whether it failed as designed, where one axis alone stands at its end, or within the tolerances. */
  private failedElsewhere = false;
  private reason: string | undefined = undefined;

  /** @param k index of the check */
  constructor(
    private readonly check: CheckHeading,
    private readonly k: number,
  ) {}

  /** Takes what was measured at some places. @param corner false: it is none of the corners */
  meet(places: AxisPlaces, { measured, reason }: Measured, corner = true): void {
    const value = measured[this.k];
    if (!judge(value, this.check.limit).pass) {
      if (corner) this.failing++;
      else this.failedElsewhere = true;
    }
    if (Number.isNaN(value)) {
      this.reason ??= reason;
      return;
    }
    if (!this.lowest || value < this.lowest.value) this.lowest = { value, places };
    if (!this.highest || value > this.highest.value) this.highest = { value, places };
  }

  /** The farthest upwards, or downwards; undefined where nothing has a value. */
  farthest(way: 1 | -1): Met | undefined {
    return way > 0 ? this.highest : this.lowest;
  }

  /** What all that was met comes to. */
  worst(axes: readonly Axis[], middle: Measured, alone: readonly AxisAlone[]): CornerCheck {
    const { check, k, lowest, highest, failing, failedElsewhere, reason } = this;
    const extreme = (met: Met | undefined): CornerExtreme | undefined =>
      met && { value: met.value, causes: causesOf(axes, met.places, check.case) };
    const swing = ({ low, high }: AxisAlone) => (Number.isNaN(high - low) ? 0 : high - low);
    // For a drift, at the temperature where it does more.
    const effects = axes.map((_, i) =>
      alone
        .filter((one) => one.axis === i)
        .reduce((a, b) => (Math.abs(swing(b)) > Math.abs(swing(a)) ? b : a)),
    );
    const total = effects.reduce((sum, one) => sum + swing(one) ** 2, 0);
    const nominal = middle.values[k];
    // How far an axis moves it in one direction, at whichever end.
    const moved = ({ low, high }: AxisAlone, way: 1 | -1) =>
      [low, high].reduce((far, v) => Math.max(far, way * (v - nominal) || 0), 0);
    const root = (way: 1 | -1) => Math.sqrt(effects.reduce((sum, one) => sum + moved(one, way) ** 2, 0));
    return {
      ...check,
      nominal: middle.measured[k],
      lowest: extreme(lowest),
      highest: extreme(highest),
      pass: failing === 0 && !failedElsewhere,
      failing,
      reason,
      squares: bounded(nominal, [nominal - root(-1), nominal + root(1)], lowest?.value, highest?.value),
      effects: effects
        .map((one, i): Effect => {
          const axis = axes[i];
          const share = total > 0 ? swing(one) ** 2 / total : 0;
          const { low: from, high: to } = bandIn(axis, check.case);
          return { name: axisWords(axis), from, to, unit: axis.unit, low: one.low, high: one.high, share };
        })
        .sort((a, b) => b.share - a.share || 0),
    };
  }
}

// The error of the runs alone may take a band a millionth beyond the corners.
function bounded(
  nominal: number,
  [low, high]: readonly [number, number],
  lowest = low,
  highest = high,
): CornerCheck["squares"] {
  const [least, most] = [Math.min(lowest, nominal), Math.max(highest, nominal)];
  const adds = Math.max(least - low, high - most) <= 1e-6 * Math.max(Math.abs(least), Math.abs(most));
  return { low: Math.max(low, least), high: Math.min(high, most), adds };
}
