// Finds further captures that would tell apart values that the present ones cannot. For each direction in which values move
// together unnoticed, every place and the current of every supply is tried, in every case; the result is places and cases, best
// first. A capture is taken to have 8 bits over the swing of its trace, as many samples as the best at hand and a gain known to
// 3 %, as is common practice (no source), so that the result holds for the usual instrument.

import { decimal } from "../base/spacing.js";
import type { Design } from "../design/design.js";
import { caseLength } from "../design/length.js";
import { revalued } from "../design/revalue.js";
import type { Run } from "../reading/result.js";
import { plan, type SimulateOptions } from "../simulation/options.js";
import { simulate } from "../simulation/simulate.js";
import type { Trace } from "../waveforms/trace.js";
import { along } from "./along.js";
import type { Inseparable } from "./estimate.js";
import type { Fit } from "./fit.js";
import type { FitCapture } from "./fitruns.js";

/** What to look for, and where. */
export interface TellApartOptions {
  readonly fit: Fit;
  readonly captures: readonly FitCapture[];
  readonly simulate?: Omit<SimulateOptions, "case" | "stream">;
}

/** The captures that would tell some values apart. */
export interface TellingApart {
  /** The values that move together. */
  readonly values: readonly string[];
  /** Further captures, the best first; empty where none of them shows anything. */
  readonly further: readonly {
    /** A place, or a supply with `.current`. */
    readonly of: string;
    /** The case to capture it in; empty for the design as drawn. */
    readonly case: string;
    /** Standard uncertainty along the direction that it would leave, as a share of the values. */
    readonly uncertainty: number;
  }[];
}

/** Share of themselves by which the values are moved to either side. */
const moved = 0.01;
/** Instants at which traces are compared. */
const instants = 4000;
/** The usual instrument: its least samples, steps of its scale, and gain error. */
const usualSamples = 1000;
const steps = 256;
const gainError = 0.03;
/** The most captures that are named, of those that leave an uncertainty below this share. */
const mostNamed = 3;
const useful = 0.5;
/** The most cases and directions that are tried. */
const mostCases = 16;
const mostDirections = 3;

/** Where to look to tell apart values that a fit could not. */
export function tellApart(
  design: Design,
  { fit, captures, simulate: how }: TellApartOptions,
): TellingApart[] {
  const samples = Math.max(usualSamples, ...fit.instruments.map((one) => one.samples));
  const known = new Set(captures.map((c) => `${c.case ?? ""}\n${c.of}`));
  const names = new Set(fit.values.map((one) => one.name));
  // Gains, offsets and delays of the instruments are no values of the design.
  const asked = fit.inseparable.filter((one) => one.values.some((name) => names.has(name)));
  return asked.slice(0, mostDirections).map((one) => {
    const further = ["", ...design.cases.slice(0, mostCases).map((c) => c.caseName)].flatMap((name) =>
      shown(design, name, fit, one, how)
        .filter(({ of }) => !known.has(`${name}\n${of}`))
        .map(({ of, change, swing, size }) => ({
          of,
          case: name,
          uncertainty: Math.hypot(swing / steps / Math.sqrt(12 * samples), gainError * size) / change,
        })),
    );
    const best = further
      .filter(({ uncertainty }) => uncertainty < useful)
      .sort((a, b) => a.uncertainty - b.uncertainty);
    // The same place in several cases is named once.
    const named = best.filter(({ of }, k) => best.findIndex((other) => other.of === of) === k);
    return { values: one.values, further: named.slice(0, mostNamed) };
  });
}

/** Effect of a direction on a trace: rms change for a change of the values by their whole size, swing, and rms of the trace. */
interface Shown {
  readonly change: number;
  readonly swing: number;
  readonly size: number;
}

/** The effect of a direction on each trace of one case. */
function shown(
  design: Design,
  name: string,
  fit: Fit,
  direction: Inseparable,
  how: TellApartOptions["simulate"],
): ({ of: string } & Shown)[] {
  const sides = [-1, 1].map((side) => runAt(design, name, fit, direction, { side, how }));
  const [down, up] = sides;
  if (!down || !up) return [];
  const asked = [
    ...up.design.places.slice(1),
    ...up.design.parts.filter((p) => p.kind.rail).map((p) => `${p.name}.current`),
  ];
  const [low, high] = [down.draw(asked), up.draw(asked)];
  return asked.flatMap((of, k) => {
    const found = difference(low[k], high[k]);
    return found.swing > 0 && found.change > 0 ? [{ of, ...found }] : [];
  });
}

function runAt(
  design: Design,
  name: string,
  { values }: Fit,
  direction: Inseparable,
  { side, how }: { side: number; how: TellApartOptions["simulate"] },
): Run | undefined {
  const at = new Map(
    values.map(({ name: value, value: size }) => {
      const part = direction.values.indexOf(value);
      const share = part < 0 ? 0 : direction.shares[part];
      return [value, decimal(size * (1 + side * moved * share))];
    }),
  );
  const made = revalued(design, at, name === design.caseName ? [] : [name]);
  const one = name === made.caseName ? made : made.cases.find((c) => c.caseName === name);
  if (!one) return undefined;
  const { until } = plan(made, how ?? {});
  const run = simulate(one, { ...how, until: one === made ? until : caseLength(one, until) });
  return run.status === "stopped" ? undefined : run;
}

function difference(low: Trace, high: Trace): Shown {
  const [from, to] = [Math.max(low.from, high.from), Math.min(low.to, high.to)];
  const time = Float64Array.from({ length: instants }, (_, k) => from + ((k + 0.5) / instants) * (to - from));
  const [a, b] = [along(low, time, 0), along(high, time, 0)];
  let sum = 0;
  let square = 0;
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let k = 0; k < instants; k++) {
    sum += (b[k] - a[k]) ** 2;
    square += a[k] ** 2;
    least = Math.min(least, a[k], b[k]);
    most = Math.max(most, a[k], b[k]);
  }
  // A level that hardly moves still needs a scale from zero.
  const swing = Math.max(most - least, 0.1 * Math.max(Math.abs(least), Math.abs(most)));
  return { change: Math.sqrt(sum / instants) / (2 * moved), swing, size: Math.sqrt(square / instants) };
}
