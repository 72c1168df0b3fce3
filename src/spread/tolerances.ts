// What varies in a design because of tolerances: one axis for each value with a tolerance of its own, for each drift that has
// one, for each wander with temperature, and for the temperature itself. From here a tolerance reaches a verdict: places on the
// axes make settings, `experiment.ts` measures the checks with them, `summary.ts` and `worst.ts` judge the results. A value that
// tracks another has no axis of its own; both ends of an axis are exact.
import { unitOf } from "../base/dimension.js";
import { type Fraction, fromNumber, ratio, toNumber } from "../base/fraction.js";
import { decimal } from "../base/spacing.js";
import type { Amount, Design, Setting } from "../design/design.js";
import { settableValues } from "../design/revalue.js";
import { gapReach, trackedName } from "../design/spreading.js";
import type { Distribution } from "./distribution.js";
import type { Aspect } from "./random.js";

/** Something that varies, as plain data. */
export interface Axis {
  /** Full name of the value; empty for the temperature. */
  readonly name: string;
  /** What of it varies: its value within the tolerance, its drift, or its further wander with temperature. */
  readonly what: "value" | "drift" | "wander" | "temperature";
  /** SI; `K` for the temperature, `1/K` or the value's unit per kelvin for a drift, empty (a share) for a wander. */
  readonly unit: string;
  /** Its low end, SI. */
  readonly low: number;
  /** As designed, SI. */
  readonly nominal: number;
  /** Its high end, SI. */
  readonly high: number;
  /** How values are distributed between its ends. */
  readonly distribution: Distribution;
  /** Names of the values that track it. */
  readonly tracked: readonly string[];
  /** Where it lies in cases that set the value, and in others where it does not; absent where it is the same in all. */
  readonly inCases?: readonly CaseBand[];
}

/** Where an axis lies in a case, SI; low and high are equal where nothing varies. */
export interface CaseBand extends Pick<Axis, "low" | "nominal" | "high"> {
  /** Name of the case; empty for the design as drawn. */
  readonly case: string;
}

/** The range of an axis. */
export type AxisBand = Omit<Axis, "name" | "what" | "tracked">;

/** Temperatures as differences from the one at which values hold, K. */
export interface Temperatures {
  /** The lowest. */
  readonly from: number;
  /** The highest. */
  readonly to: number;
}

/** A place on each axis, from 0 (its low end) to 1, or NaN: as designed. */
export type AxisPlaces = readonly number[];

const uniform: Distribution = { shape: "uniform" };
const aspects: readonly Axis["what"][] = ["value", "drift", "wander", "temperature"];

/** Which stream of random numbers an axis draws from. */
export function aspectOf({ what }: Axis): Aspect {
  return aspects.indexOf(what) as Aspect;
}

/** The axes of a design and the settings for places on them. */
export class Axes {
  readonly list: Axis[] = [];
  private readonly index = new Map<string, number>();
  private readonly makers: [string, (places: AxisPlaces) => Setting][] = [];

  /** @param varied the design, its cases or both: what is run. A value may have its tolerance in one of them alone */
  constructor(
    design: Design,
    private readonly temperatures?: Temperatures,
    bags: ReadonlyMap<string, AxisBand> = new Map(),
    varied: readonly Design[] = [design],
  ) {
    const drawn = settableValues(design);
    const cases = varied.map((one) => ({ case: one.caseName, all: settableValues(one) }));
    const { all } = cases[0];
    // A case that gives a signal another waveform has other values there.
    const amountsOf = (name: string) =>
      cases.flatMap((one) => {
        const value = one.all.get(name);
        return value ? [{ case: one.case, amount: value.amount }] : [];
      });
    // A measured part keeps its measured value, whatever it otherwise tracks.
    const next = (name: string) => {
      const tracks = bags.has(name) ? undefined : all.get(name)!.amount.spreading?.tracks;
      return tracks && trackedName(name, tracks.name, all);
    };
    const roots = new Map<string, string>();
    const root = (name: string): string => {
      const way: string[] = [];
      let at = name;
      for (let on = next(at); on !== undefined; on = next(at)) {
        way.push(at);
        at = roots.get(at) ?? on;
      }
      for (const one of way) roots.set(one, at);
      return at;
    };
    let drifts = false;
    // Axes of tracked values first, so that their distribution holds for all that track them.
    const ordered = [...all.values()]
      .filter(({ name }) => drawn.has(name))
      .sort((a, b) => Number(root(a.name) !== a.name) - Number(root(b.name) !== b.name));
    for (const { name, amount } of ordered) {
      const { spreading } = amount;
      const of = root(name);
      const amounts = amountsOf(name);
      const own = amounts.find(
        (one) => one.amount.follows === undefined && one.amount.low.lt(one.amount.high),
      );
      const bag = bags.get(name);
      const value = bag
        ? this.axis(of, "value", name, bag)
        : own
          ? this.axis(of, "value", name, { ...valueAxis(own.amount), ...elsewhere(own.amount, amounts) })
          : undefined;
      const heated = temperatures !== undefined;
      const drift = heated ? spreading?.drift : undefined;
      const wanders = heated ? spreading?.wanders : undefined;
      const loose = drift && drift.amount.follows === undefined && drift.amount.low.lt(drift.amount.high);
      const driftAxis = loose ? this.axis(of, "drift", name, band(drift.amount)) : undefined;
      const wanderAxis = wanders ? this.axis(of, "wander", name, wanderBand(wanders)) : undefined;
      if (drift) drifts = true;
      if (value === undefined && !drift && wanderAxis === undefined) continue;
      const from = bags.has(of)
        ? { amount: drawn.get(name)!.amount, root: of === name ? undefined : drawn.get(of)!.amount }
        : undefined;
      this.makers.push([name, (places) => this.setting(places, { value, driftAxis, wanderAxis, from })]);
    }
    if (drifts && temperatures && temperatures.from < temperatures.to) {
      const { from, to } = temperatures;
      const nominal = Math.min(to, Math.max(from, 0));
      this.axis("", "temperature", "", { unit: "K", low: from, nominal, high: to, distribution: uniform });
    }
  }

  settings(places: AxisPlaces): Map<string, Setting> {
    return new Map(this.makers.map(([name, make]) => [name, make(places)]));
  }

  private axis(of: string, what: Axis["what"], name: string, rest: AxisBand): number {
    const key = `${what} ${of}`;
    const known = this.index.get(key);
    if (known !== undefined) {
      (this.list[known].tracked as string[]).push(name);
      return known;
    }
    this.index.set(key, this.list.length);
    return this.list.push({ name: of, what, ...rest, tracked: of === name ? [] : [name] }) - 1;
  }

  private setting(places: AxisPlaces, { value, driftAxis, wanderAxis, from }: ValueAxes): Setting {
    const at = (axis: number | undefined) => (axis === undefined ? Number.NaN : (places[axis] ?? Number.NaN));
    const [p, d, w] = [at(value), at(driftAxis), at(wanderAxis)];
    return (amount) => {
      const { spreading } = amount;
      const drawn = Number.isNaN(p)
        ? amount.value
        : from
          ? bagged(amount, from, valueAt(this.list[value!], p))
          : between(amount.low, amount.high, p);
      let made = drawn;
      const rise = this.rise(places);
      if (spreading?.drift && rise.n !== 0n) {
        const { amount: drift, absolute } = spreading.drift;
        const rate = Number.isNaN(d) ? drift.value : between(drift.low, drift.high, d);
        made = absolute ? made.add(rate.mul(rise)) : made.mul(rate.mul(rise).add(1));
      }
      const most = Number.isNaN(w) ? undefined : spreading?.wanders;
      if (most) made = made.mul(between(most.neg(), most, w).add(1));
      return made.equals(drawn) && (Number.isNaN(p) || p === 0 || p === 1) ? made : decimal(toNumber(made));
    };
  }

  // A range of a single temperature applies always.
  private rise(places: AxisPlaces): Fraction {
    const { temperatures } = this;
    if (!temperatures) return ratio(0);
    const { from, to } = temperatures;
    if (from === to) return decimal(from);
    const axis = this.index.get("temperature ");
    const p = axis === undefined ? Number.NaN : (places[axis] ?? Number.NaN);
    return Number.isNaN(p)
      ? decimal(Math.min(to, Math.max(from, 0)))
      : between(decimal(from), decimal(to), p);
  }
}

/** The axes that a value is made of, and its bag, if any. */
interface ValueAxes {
  readonly value?: number;
  readonly driftAxis?: number;
  readonly wanderAxis?: number;
  readonly from?: {
    /** The value in the design as drawn. */
    readonly amount: Amount;
    /** The measured value that this one tracks, if it is another. */
    readonly root?: Amount;
  };
}

/** A value drawn from measurements; one that tracks it takes the same relative place in (or beyond) its own tolerance. */
function bagged(
  amount: Amount,
  { amount: drawn, root }: NonNullable<ValueAxes["from"]>,
  measured: number,
): Fraction {
  // A case that sets the value has another part there.
  if (!amount.value.equals(drawn.value)) return amount.value;
  if (!root) return decimal(measured);
  const place = decimal(measured).sub(root.low).div(root.high.sub(root.low));
  return amount.low.add(amount.high.sub(amount.low).mul(place));
}

function valueAxis(amount: Amount): AxisBand {
  const { value, low, high, spreading } = amount;
  const shape = spreading?.gap ? "sorted" : (spreading?.shape ?? "uniform");
  if (shape !== "sorted") return { ...band(amount), distribution: { shape } };
  const reach = gapReach(amount);
  const place = (v: Fraction) => toNumber(v.sub(low).div(high.sub(low)));
  return {
    ...band(amount),
    distribution: { shape, gap: [place(value.sub(reach)), place(value.add(reach))] },
  };
}

function band(amount: Amount): AxisBand {
  return { unit: unitOf(amount.dimension), ...ends(amount), distribution: uniform };
}

function ends({ low, value, high }: Amount): Pick<AxisBand, "low" | "nominal" | "high"> {
  return { low: toNumber(low), nominal: toNumber(value), high: toNumber(high) };
}

/** The bands of a value in the cases in which it is another than here. */
function elsewhere(
  here: Amount,
  amounts: readonly { readonly case: string; readonly amount: Amount }[],
): Pick<AxisBand, "inCases"> {
  const others = amounts.filter(
    ({ amount: { low, value, high } }) =>
      !(low.equals(here.low) && value.equals(here.value) && high.equals(here.high)),
  );
  return others.length > 0 ? { inCases: others.map((one) => ({ case: one.case, ...ends(one.amount) })) } : {};
}

function wanderBand(share: Fraction): AxisBand {
  const most = toNumber(share);
  return { unit: "", low: -most, nominal: 0, high: most, distribution: uniform };
}

/** The value at a place of a band; the ends are exact. */
function between(low: Fraction, high: Fraction, place: number): Fraction {
  if (place === 0) return low;
  if (place === 1) return high;
  return low.add(high.sub(low).mul(fromNumber(place)));
}

/** Where an axis lies in a case. */
export function bandIn(axis: Axis, name: string): Pick<Axis, "low" | "nominal" | "high"> {
  return axis.inCases?.find((one) => one.case === name) ?? axis;
}

/** The value at a place on an axis, SI, with everything else as designed. */
export function valueAt(
  { low, nominal, high }: Pick<Axis, "low" | "nominal" | "high">,
  place: number,
): number {
  if (Number.isNaN(place)) return nominal;
  return place === 1 ? high : low + place * (high - low);
}

/** An axis in words: `timing`, `drift of timing`, `temperature`. */
export function axisWords({ name, what }: Axis): string {
  if (what === "value") return name;
  if (what === "temperature") return "temperature";
  return what === "drift" ? `drift of ${name}` : `${name} with temperature`;
}
