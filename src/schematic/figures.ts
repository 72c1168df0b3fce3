// Figures of a run on the schematic: the range of each place, which parts are beyond their ratings, and at which places a check
// fails.
import { engineering } from "../base/quantity.js";
import { exceeded, rated, stress } from "../judging/stresses.js";
import { verify } from "../judging/verify.js";
import { traceBounds } from "../measures/window.js";
import type { Run } from "../reading/result.js";
import type { DrawOptions } from "./schematic.js";

/**
 * Figures of a run for `draw`: at each place its lowest and highest voltage; in red the checks that fail there, the
 * parts beyond a rating, and those whose own check fails.
 */
export function figuresOf(run: Run): Required<Pick<DrawOptions, "notes" | "failing" | "alarmed">> {
  const notes = new Map<string, string>();
  for (const place of run.design.places.slice(1)) {
    const { low, high } = traceBounds(run.trace(place), 0, run.reached);
    const [lowest, highest] = [low, high].map((level) => engineering(level, "V"));
    notes.set(place, lowest === highest ? lowest : `${lowest} to ${highest}`);
  }
  const failing = new Map<string, string>();
  const alarmed = new Set<string>();
  if (rated(run.design)) for (const { part } of exceeded(stress(run))) alarmed.add(part);
  const targets = new Map(run.design.checks.map(({ name, target }) => [name, target]));
  for (const { pass, name } of verify(run)) {
    const target = targets.get(name);
    if (pass || target === undefined) continue;
    const before = failing.get(target);
    if (notes.has(target))
      failing.set(target, before === undefined ? `fails: ${name}` : `${before}, ${name}`);
    else alarmed.add(target.slice(0, target.lastIndexOf(".")));
  }
  return { notes, failing, alarmed: [...alarmed] };
}
