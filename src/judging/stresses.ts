// What a run asks of its parts, against what they are rated for.
// It is read off the curves themselves, so a peak between two samples counts; a rating passes up to and including its level.
// Where charge or flux is shared at an instant, the current of an ideal part has no bound and no rating of peak or rms passes;
// its charge and energy are counted, in means as well.

import { asked, exactly, type Given, refuseOption } from "../base/asked.js";
import { dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { handed } from "../base/handed.js";
import type { Design, PartSpec } from "../design/design.js";
import { impulsesOf } from "../reading/impulses.js";
import { followPart, partSights } from "../reading/partcurves.js";
import { probeOf } from "../reading/probe.js";
import { RailModes } from "../reading/rails.js";
import type { Run } from "../reading/result.js";
import { drawTraces } from "../reading/tracing.js";
import { remarked } from "../reading/warnings.js";
import { struckIn } from "../waveforms/trace.js";
import { Tally } from "./tally.js";

/** A largest value and its instant. SI units and seconds. */
export interface Peak {
  /** W, A or V. */
  readonly value: number;
  /** s. */
  readonly at: number;
}

/** Sizes of a current or a voltage. Along the arrow counts as positive. SI units. */
export interface Sizes {
  /** The largest either way. */
  readonly peak: Peak;
  /** The largest along the arrow, zero where there is none. */
  readonly forward: Peak;
  /** The largest against the arrow, zero where there is none. */
  readonly reverse: Peak;
  /** Root of the mean square; Infinity where charge (for a voltage, flux) was shared. */
  readonly rms: number;
  /** Absolute value of the mean. */
  readonly mean: number;
}

/** A rating, and how much of it is used. SI units. */
export interface RatingUse {
  /** What is rated. */
  readonly of: "power" | "current" | "voltage";
  /** Which size of it. */
  readonly size: "mean" | "peak" | "rms" | "reverse";
  /** What is allowed. */
  readonly limit: number;
  /** What the run demands. */
  readonly value: number;
  /** The instant of a peak, s. */
  readonly at?: number;
  /** The value as a share of the limit. */
  readonly used: number;
  /** Whether the rating holds. */
  readonly pass: boolean;
}

/** What shared charge or flux did to a part. */
export interface PartShared {
  /** How often. */
  readonly times: number;
  /** The largest charge that passed it at once, C. */
  readonly charge: number;
  /** The largest flux that stood across it at once, Vs. */
  readonly flux: number;
  /** Total energy that it took up, J: heat, or for a capacitor or coil the energy it gained. */
  readonly energy: number;
}

/** What a run asks of one part. */
export interface PartStress {
  /** Full name of the part. */
  readonly part: string;
  /** Its kind, in the language's word. */
  readonly kind: string;
  /** Watts that it takes up: below zero where it delivers. */
  readonly power: {
    /** The most at any instant, W. */
    readonly peak: Peak;
    /** The mean, W. */
    readonly mean: number;
  };
  /** Amperes along its arrow. */
  readonly current: Sizes;
  /** Volts from tail to head. */
  readonly voltage: Sizes;
  /** What charge or flux shared at an instant did to it; absent where none was. */
  readonly shared?: PartShared;
  /** Its ratings, in the order of the text. */
  readonly ratings: readonly RatingUse[];
}

/** What a rail delivers, and what is pushed into it. */
export interface RailStress {
  /** Full name of the supply. */
  readonly part: string;
  /** The largest current that it delivers, A. */
  readonly delivers: Peak;
  /** The largest that it takes, against its own direction, A. */
  readonly takes: Peak;
  /** The most that it takes before it lets go, A; absent where the text does not say. */
  readonly sinks?: number;
  /** Whether it lets go of its rail in the run. */
  readonly letsGo: boolean;
}

/** What a run asks of its parts. */
export interface Stress {
  /** Title of the design. */
  readonly title: string;
  /** Empty for the design as drawn. */
  readonly case: string;
  /** Start of the time considered, s. */
  readonly from: number;
  /** Its end, s. */
  readonly to: number;
  /** In the order of the text. */
  readonly parts: readonly PartStress[];
  /** Every rail's current in both directions, in the order of the text. */
  readonly rails: readonly RailStress[];
  /** How often charge or flux was shared at an instant in the run, and the energy lost in it, J. */
  readonly shared: {
    /** How often. */
    readonly times: number;
    /** The energy lost in all of them, J. */
    readonly energy: number;
  };
  /** Whether every rating holds. */
  readonly pass: boolean;
}

/** The time to consider; the whole run unless given. Means and rms are over it. */
export interface StressOptions {
  /** Start of the time to consider. */
  readonly after?: Given;
  /** Its end. */
  readonly before?: Given;
}

/**
 * What a run asks of its parts.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * const { parts } = stress(run, { after: "1 ms" });
 * const hold = parts.find(({ part }) => part === "hold");
 * engineering(hold?.voltage.peak.value ?? 0, "V"); // "3.976 V"
 * ```
 * @throws DesignError `bad-option` for a time that the run does not have
 */
export function stress(run: Run, options: StressOptions = {}): Stress {
  handed("run", run);
  asked(options, { after: "any", before: "any" });
  const { design, recording } = run;
  const time = (given: Given | undefined, which: string) =>
    given === undefined ? undefined : toNumber(exactly(given, dimension.time, which));
  const [after, before] = [time(options.after, "after"), time(options.before, "before")];
  const parts: PartStress[] = [];
  let [from, to] = [after ?? 0, before ?? run.reached];
  if (after !== undefined || before !== undefined)
    if (!(from < to && from >= 0 && to <= run.until))
      refuseOption("after", "this stretch is no part of the run");
  if (recording.count > 0) {
    const { clock } = run.assembly;
    const span = recording.span();
    from = Math.max(from, clock.time(span.from));
    to = Math.min(to, clock.time(span.to));
    const rails = new RailModes(run.assembly.system, new Map());
    for (const [part, spec] of design.parts.entries())
      if (!spec.couples && from <= to) parts.push(stressOf(spec, curvesOf(run, { part, rails }, from, to)));
  }
  return {
    title: design.title,
    case: design.caseName,
    from,
    to,
    parts,
    rails: railsOf(run, parts),
    shared: { times: run.losses.length, energy: run.losses.reduce((sum, { energy }) => sum + energy, 0) },
    pass: parts.every((p) => p.ratings.every((r) => r.pass)),
  };
}

function railsOf(run: Run, parts: readonly PartStress[]): RailStress[] {
  const said = remarked(run.assembly, run.recording);
  return run.design.parts.flatMap((spec, index) => {
    const found = parts.find((p) => p.part === spec.name);
    const rail = spec.kind.rail?.(spec);
    if (!rail || spec.fault || !found) return [];
    // The arrow points into the supply: along it a rail above ground takes current, and one below ground delivers it.
    const { forward, reverse } = found.current;
    const [takes, delivers] = rail.below ? [reverse, forward] : [forward, reverse];
    const { sinks } = rail;
    const letsGo = said.some(({ part }) => part === index);
    return [{ part: spec.name, delivers, takes, letsGo, sinks: sinks && toNumber(sinks) }];
  });
}

/** A part's curves over the time considered. */
type Curves = Readonly<Record<"power" | "current" | "voltage", Tally>>;

function curvesOf(
  run: Run,
  one: { readonly part: number; readonly rails: RailModes },
  from: number,
  to: number,
): Curves {
  const { assembly, recording, design } = run;
  const { name } = design.parts[one.part];
  if (!recording.exact || from === to) {
    const names = partSights.map((aspect) => `${name}.${aspect}`);
    const wanted = names.map((traced) => ({ name: traced, ...probeOf(design, traced) }));
    // The run does not keep these traces: there are too many.
    const traces = drawTraces(assembly, recording, wanted);
    const [voltage, current, power] = traces.map((trace) => Tally.of({ trace, from, to }));
    return { voltage, current, power };
  }
  const [voltage, current, power] = partSights.map((type) => {
    const impulses = impulsesOf(assembly, recording, { type, part: one.part });
    return new Tally(from, to, impulses ? struckIn(impulses, from, to, run.reached) : []);
  });
  const tallies = [voltage, current, power];
  const tick = assembly.clock.seconds;
  const ticks = recording.span({ from: Math.floor(from / tick) - 4, to: Math.ceil(to / tick) + 4 });
  followPart(assembly, recording, one, ticks, (which, arc) => tallies[which].add(arc));
  return { voltage, current, power };
}

function stressOf(part: PartSpec, curves: Curves): PartStress {
  const found = {
    power: { peak: curves.power.high, mean: curves.power.mean },
    current: sizes(curves.current),
    voltage: sizes(curves.voltage),
  };
  const ratings = (part.ratings ?? []).map(({ of, size, level }): RatingUse => {
    // A power has no rms and no reverse; the reader of ratings has refused those.
    const measured = (found[of] as Sizes)[size];
    const { value, at } = typeof measured === "number" ? { value: measured, at: undefined } : measured;
    const used = value / level;
    return { of, size, limit: level, value, at, used, pass: used <= 1 };
  });
  return { part: part.name, kind: part.kind.word, ...found, ratings, shared: sharedBy(curves) };
}

function sharedBy({ power, current, voltage }: Curves): PartShared | undefined {
  const [energies, charges, fluxes] = [power, current, voltage].map(({ struck }) => struck);
  if (charges.length === 0 && fluxes.length === 0) return undefined;
  const most = (of: typeof charges) => of.reduce((m, { size }) => Math.max(m, Math.abs(size)), 0);
  return {
    times: Math.max(charges.length, fluxes.length),
    charge: most(charges),
    flux: most(fluxes),
    energy: energies.reduce((sum, { size }) => sum + size, 0),
  };
}

function sizes({ low, high, rms, mean }: Tally): Sizes {
  return {
    peak: high.value >= -low.value ? high : { value: -low.value, at: low.at },
    forward: { value: Math.max(0, high.value), at: high.at },
    reverse: { value: Math.max(0, -low.value), at: low.at },
    rms,
    mean: Math.abs(mean),
  };
}

/** The ratings that do not hold, with their parts. */
export function exceeded({ parts }: Stress): { readonly part: string; readonly rating: RatingUse }[] {
  return parts.flatMap(({ part, ratings }) =>
    ratings.flatMap((rating) => (rating.pass ? [] : [{ part, rating }])),
  );
}

/** True where any part of a design has a rating. */
export function rated(design: Design): boolean {
  return design.parts.some((p) => (p.ratings ?? []).length > 0);
}
