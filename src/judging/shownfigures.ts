// The figures that a text shows of a run without asking anything of them: measured like a phrase, under the names of the text.

import { handed } from "../base/handed.js";
import type { Run } from "../reading/result.js";
import { type Measurement, measurementOf } from "./measuring.js";

/** A figure that the text shows, as plain data: what was measured, without limit and verdict. */
export interface ShownFigure extends Measurement {
  /** As the text calls it. */
  readonly name: string;
  /** The case it was measured in; empty for the design as drawn. */
  readonly case: string;
}

/**
 * Measures every figure that the text shows for the case that was run: its statements `show "x" peak of ramp`.
 *
 * @category Measures and verdicts
 * @example
 * ```ts
 * const shown = compile('supply plus5 = 5 V\nresistor load plus5 -> ground 1 kohm\nshow "draw" peak current of load');
 * shownFigures(simulate(shown, { until: "1 ms" }))[0].text; // "5 mA"
 * ```
 * @returns one figure per statement, in the order of the text, as plain data
 * @throws DesignError `bad-option` if handed anything but a run
 */
export function shownFigures(run: Run): ShownFigure[] {
  handed("run", run);
  const { shows, caseName } = run.design;
  return shows.map((spec) => ({ name: spec.name, case: caseName, ...measurementOf(run, spec) }));
}
