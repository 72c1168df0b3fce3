// Captures over predictions: for each capture its samples, the run at the same instants and, if values were fitted, the run with
// these; the residuals are below on a scale of their own.

import { engineering } from "../base/quantity.js";
import type { LaidOver } from "../captures/layover.js";
import { Trace } from "../waveforms/trace.js";
import type { Panel } from "./panel.js";
import { tracePicture } from "./svg.js";

/** Width of one capture, px, and least width of a picture. */
const each = 640;
const least = 1200;

/**
 * Draws captures over their predictions, with the residual below.
 * @param fitted the same captures over runs with fitted values
 * @returns SVG text
 */
export function matchPicture(title: string, laid: readonly LaidOver[], fitted?: readonly LaidOver[]): string {
  const groups = laid.map((one, k) => {
    const again = fitted?.[k];
    const named = one.case === "" ? one.capture : `${one.capture}, ${one.case}`;
    return {
      title: named,
      from: one.time[0],
      to: one.time[one.time.length - 1],
      panels: [over(one, again), left(again ?? one, again ? "residual of the fit" : "residual")],
    };
  });
  return tracePicture(groups, { title, width: Math.max(least, each * laid.length), id: "match" });
}

function over(one: LaidOver, again: LaidOver | undefined): Panel {
  const { of, unit, time, captured, simulated } = one;
  const traces = [
    new Trace({ name: "captured", unit, time, value: captured }),
    new Trace({ name: "predicted", unit, time, value: simulated }),
  ];
  if (again) traces.push(new Trace({ name: "fitted", unit, time: again.time, value: again.simulated }));
  return { title: of, traces };
}

function left({ unit, time, residual, rms }: LaidOver, name: string): Panel {
  const title = `${name}, ${engineering(rms, unit, 3)} (rms)`;
  return { title, traces: [new Trace({ name, unit, time, value: residual })] };
}
