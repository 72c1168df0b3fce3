// What to draw: a picture's options to three traces, the figures of the screen and a span of time.
// Nonsense is refused before anything is drawn or memory is taken. An option overrides what the tube's part says.

import { exactly, type Given, refuseOption, type Sorts } from "../base/asked.js";
import { type Dimension, dimension } from "../base/dimension.js";
import { toNumber } from "../base/fraction.js";
import { didYouMean } from "../base/nearest.js";
import type { PartSpec } from "../design/design.js";
import { traceBounds } from "../measures/window.js";
import type { BeamFigures } from "../parts/contract.js";
import { usual } from "../parts/tube.js";
import type { Run } from "../reading/result.js";
import type { Trace } from "../waveforms/trace.js";
import { type ShownTime, shownTime } from "./fields.js";

/**
 * Which picture. Name a tube of the design, or say `across`, `down` and `brightness`; a design with one tube needs
 * neither. Voltages, times and numbers are texts with their units, or numbers in SI units.
 */
export interface ScreenOptions {
  /** Name of the tube's part. */
  readonly tube?: string;
  /** Name of the trace that moves the beam sideways. */
  readonly across?: string;
  /** Name of the trace that moves it up and down. */
  readonly down?: string;
  /** Name of the trace that makes it bright. */
  readonly brightness?: string;
  /** Value of `across` at the left edge of the screen. Default: the lowest in the time shown. */
  readonly left?: Given;
  /** Value of `across` at the right edge. Default: the highest in the time shown. */
  readonly right?: Given;
  /** Value of `down` at the top. Default: the lowest in the time shown. */
  readonly top?: Given;
  /** Value of `down` at the bottom. Default: the highest in the time shown. */
  readonly bottom?: Given;
  /** Drive at which the beam is dark; default 0. */
  readonly cutoff?: Given;
  /** Drive at which it is white; default: the highest in the time shown. */
  readonly full?: Given;
  /** Light is the drive above cut-off, as a share of the full one, to this power; default 2.2. */
  readonly gamma?: Given;
  /** Width of the spot at half of its light, as a share of the picture's height; default 0.003. */
  readonly spot?: Given;
  /** Width over height of the screen; default 4/3. */
  readonly aspect?: Given;
  /** Start of the time shown. Default: that of the last whole frame (two fields), else the last whole field, else the run. */
  readonly from?: Given;
  /** Its end. */
  readonly to?: Given;
}

export const screenSorts: Sorts<Required<ScreenOptions>> = {
  tube: "text",
  across: "text",
  down: "text",
  brightness: "text",
  left: "any",
  right: "any",
  top: "any",
  bottom: "any",
  cutoff: "any",
  full: "any",
  gamma: "any",
  spot: "any",
  aspect: "any",
  from: "any",
  to: "any",
};

/** What is drawn: in seconds, the traces' units and plain numbers. */
export interface Screen extends ShownTime, Omit<BeamFigures, "across" | "down"> {
  readonly across: Trace;
  readonly down: Trace;
  /** Absent if the tube is faulted open: it stays dark. */
  readonly drive?: Trace;
}

/** A spot wider than this share of the height leaves no visible picture. */
const widestSpot = 0.1;
const sharpest = 20;
const widest = 20;

/** The tubes of a design, by name. */
export function tubes(parts: readonly PartSpec[]): string[] {
  return parts.flatMap((p) => (p.kind.beam ? [p.name] : []));
}

/**
 * @param dark whether the drive does not matter and need not be named
 * @throws DesignError `bad-option`, and `unknown-trace` for a trace that is not in the design
 */
export function screen(run: Run, options: ScreenOptions, dark = false): Screen {
  const part = tubeOf(
    run.design.parts,
    options,
    dark ? ["across", "down"] : ["across", "down", "brightness"],
  );
  const { places } = run.design;
  const beam = part?.kind.beam?.(part);
  const named = (word: "across" | "down") => options[word] ?? places[beam![word]];
  const own = part && part.fault !== "open" ? `${part.name}.voltage` : undefined;
  const drive = dark ? undefined : (options.brightness ?? own);
  const [across, down] = run.draw([named("across"), named("down")]) as [Trace, Trace];
  const read = (word: keyof ScreenOptions, dim: Dimension) => {
    const given = options[word];
    return given === undefined ? undefined : toNumber(exactly(given, dim, word));
  };
  // A trace may be a current as well as a voltage.
  const like = (trace: Trace | undefined) => (trace?.unit === "A" ? dimension.current : dimension.voltage);
  const top = read("top", like(down)) ?? beam?.top;
  const bottom = read("bottom", like(down)) ?? beam?.bottom;
  const edges = top !== undefined && bottom !== undefined ? { top, bottom } : undefined;
  const sweep = { down, edges, parts: run.design.parts };
  const time = shownTime(sweep, read("from", dimension.time), read("to", dimension.time));
  const { from, to } = time;
  const [light] = drive ? run.sketch([drive], from, to) : [];
  const spans = {
    across: lazy(() => traceBounds(across, from, to)),
    down: lazy(() => traceBounds(down, from, to)),
  };
  const made: Screen = {
    across,
    down,
    drive: light,
    left: read("left", like(across)) ?? beam?.left ?? spans.across().low,
    right: read("right", like(across)) ?? beam?.right ?? spans.across().high,
    top: top ?? spans.down().low,
    bottom: bottom ?? spans.down().high,
    cutoff: read("cutoff", like(light)) ?? beam?.cutoff ?? usual.cutoff,
    full: read("full", like(light)) ?? beam?.full ?? (light ? traceBounds(light, from, to).high : 1),
    gamma: read("gamma", dimension.number) ?? beam?.gamma ?? usual.gamma,
    spot: read("spot", dimension.number) ?? beam?.spot ?? usual.spot,
    aspect: read("aspect", dimension.number) ?? beam?.aspect ?? usual.aspect,
    ...time,
  };
  return sound(made);
}

function lazy<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}

/** The tube that the options mean; undefined if they name no tube but every trace that can be needed in its place. */
export function tubeOf(
  parts: readonly PartSpec[],
  options: ScreenOptions,
  needed?: readonly ("across" | "down" | "brightness")[],
): PartSpec | undefined {
  const { tube } = options;
  const known = tubes(parts);
  const part = (name: string) => parts.find((p) => p.name === name)!;
  if (tube !== undefined) {
    if (known.includes(tube)) return part(tube);
    const all = known.length > 0 ? `tubes here: ${known.join(", ")}` : "it has no tube at all";
    return refuseOption("tube", `the design has no tube '${tube}'`, didYouMean(tube, known) ?? all);
  }
  const missing = needed?.filter((word) => options[word] === undefined);
  if (missing?.length === 0) return undefined;
  if (known.length === 1) return part(known[0]);
  if (known.length === 0) {
    const traces = missing ? `, or name the traces of ${missing.join(" and ")}` : "";
    const hint = `give it one: 'tube screen drive -> ground across line_ramp, ...'${traces}`;
    return refuseOption("tube", "the design has no tube", hint);
  }
  return refuseOption("tube", `the design has ${known.length} tubes`, `say which: ${known.join(", ")}`);
}

function sound(s: Screen): Screen {
  for (const word of ["left", "right", "top", "bottom", "cutoff", "full"] as const) {
    if (!Number.isFinite(s[word]))
      refuseOption(word, "the trace is not a number everywhere in the time shown");
  }
  if (s.left === s.right)
    refuseOption(
      "left",
      `both sides of the screen stand at ${s.left} ${s.across.unit}`,
      "give 'left' and 'right'",
    );
  if (s.top === s.bottom)
    refuseOption("top", `top and bottom both stand at ${s.top} ${s.down.unit}`, "give 'top' and 'bottom'");
  if (s.cutoff === s.full)
    refuseOption(
      "full",
      `dark and white both stand at ${s.full} ${s.drive?.unit ?? "V"}`,
      "give 'full' and 'cutoff'",
    );
  if (!(s.gamma > 0 && s.gamma <= sharpest))
    refuseOption("gamma", `it must be above 0 and ${sharpest} at most`);
  if (!(s.spot >= 0 && s.spot <= widestSpot))
    refuseOption("spot", `a spot is ${widestSpot * 100} % of the picture's height at most`);
  if (!(s.aspect >= 1 / widest && s.aspect <= widest))
    refuseOption("aspect", `width over height must lie between 1/${widest} and ${widest}`);
  return s;
}
