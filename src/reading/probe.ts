// From names of traces to what they read.
import { refusal } from "../base/diagnostic.js";
import { didYouMean } from "../base/nearest.js";
import { aspectsOf, noLimits } from "../design/checks.js";
import type { Design } from "../design/design.js";

type Aspect = "voltage" | "current" | "power" | "clipping" | "slewing";

/** What can be read: a place, or an aspect of a part. */
export type Probe =
  | { readonly type: "place"; readonly place: number }
  | { readonly type: Aspect; readonly part: number };

/** Every name that has a trace: places, and parts with `.current` and the others that `aspectsOf` names. */
export function traceNames({ places, parts }: Design): string[] {
  return [
    ...places.slice(1),
    ...parts.flatMap((p) => Object.keys(aspectsOf(p.kind)).map((a) => `${p.name}.${a}`)),
  ];
}

/**
 * The probe of a name, and its unit.
 * @throws DesignError `unknown-trace` for a name that is not in the design, `no-limits` for `.clipping` of a part whose output
 * has no limits
 */
export function probeOf(design: Design, name: string): { probe: Probe; unit: string } {
  const dot = name.lastIndexOf(".");
  const part = dot < 0 ? -1 : design.parts.findIndex((p) => p.name === name.slice(0, dot));
  const aspect = name.slice(dot + 1);
  if (part >= 0) {
    const { kind } = design.parts[part];
    const aspects = aspectsOf(kind);
    if (Object.hasOwn(aspects, aspect)) {
      return { probe: { type: aspect as Aspect, part }, unit: aspects[aspect] };
    }
    if (aspect === "clipping") throw refusal("no-limits", noLimits(name.slice(0, dot), kind));
  }
  const place = design.places.indexOf(name);
  if (place >= 0) return { probe: { type: "place", place }, unit: "V" };
  const hint = "a trace is a place, or a part with .current, .voltage or .power";
  throw refusal(
    "unknown-trace",
    `the design has no trace '${name}'`,
    didYouMean(name, traceNames(design)) ?? hint,
  );
}
