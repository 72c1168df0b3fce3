// Options shared by all verbs that simulate: how long a run lasts, and how much it may take.
import { refuseOption } from "../base/asked.js";
import { dimension } from "../base/dimension.js";
import type { Design } from "../design/design.js";
import { probeOf } from "../reading/probe.js";
import type { Limits, SimulateOptions } from "../simulation/options.js";
import { anyText, flag, names, type Option, quantityText, settings, whole } from "./option.js";

/** Limits of a run, with the names of `limits` in `simulate`. */
const limits = {
  steps: limit("steps, leaps and corners of signals in a run", "5e7"),
  bytes: limit("bytes of a recording, and of equations", "1e9"),
  seconds: limit("seconds of computing a run", "no limit"),
  periods: limit("periods of a signal that a check counts by", "2e7"),
} satisfies Record<keyof Limits, Option<number | undefined>>;

/** The options of a verb that simulates. */
export const simulating = {
  until: quantityText(dimension.time, "TIME", "end of the run, e.g. 60ms (default: what the design says)"),
  ...limits,
};

/** New values for those of the text, for every verb that takes a design. */
export const otherValues = {
  with: settings("take other values: names and what they are to be, e.g. 'timing 18 nF, reset.on 10 ohm'"),
};

/** Traces drawn in addition to those that checks use. */
export const moreTraces = {
  traces: names("draw these besides: places, or parts with .current, .voltage, .power"),
};

/** Colours of drawings as PNG, which unlike an SVG cannot be dark for some readers and light for others. */
export const inDark = { dark: flag("a .png in the colours of a dark screen") };

/** Refuses `--dark` if no PNG is drawn. @throws DesignError `bad-option` */
export function demandBitmap(dark: boolean, out: string | undefined): void {
  if (dark && !out?.endsWith(".png"))
    refuseOption("--dark", "it is about a .png", "an .svg is dark by itself on a dark screen");
}

/** Refuses traces that no run of the design has. @throws DesignError `unknown-name` and the like */
export function demandTraces(design: Design, asked: readonly string[]): void {
  for (const name of asked) probeOf(design, name);
}

export const oneCase = { case: anyText("NAME", "run this case (default: the design as drawn)") };

/** Number of runs at a time. */
export const workers = {
  workers: whole("how many runs at a time (default: what the machine has, where it pays)", 1, 256),
};

/** The options that `simulate` takes, as plain data. */
export type SimulateAsked = Pick<SimulateOptions, "until" | "limits">;

/** The options as `simulate` takes them. */
export function simulateAsked({
  until,
  steps,
  bytes,
  seconds,
  periods,
}: { readonly until: string | undefined } & Readonly<
  Record<keyof Limits, number | undefined>
>): SimulateAsked {
  return { until, limits: { steps, bytes, seconds, periods } };
}

function limit(help: string, usual: string): Option<number | undefined> {
  return {
    help: `the most ${help} (default: ${usual})`,
    value: "N",
    group: "Limits",
    otherwise: undefined,
    // The run refuses anything but a number above zero, in its own words.
    read: (given) => (given.trim() === "" ? Number.NaN : Number(given)),
  };
}
