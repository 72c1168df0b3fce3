// The values at the cursors in words, in engineering units.
import { engineering } from "../base/quantity.js";
import { bandWords } from "../report/envelope.js";
import type { Happening } from "../report/happenings.js";
import { typeset, visible } from "../report/markup.js";
import type { Scale } from "../report/scale.js";
import type { PanelPlot } from "./panelplot.js";
import type { SeenSpan } from "./seen.js";

/** The instants of both cursors, s; the second only if it is set. */
export interface Cursors {
  readonly first: number | undefined;
  readonly second: number | undefined;
}

/** Times: that of the first cursor and, with a second, that of the second, the time between them and its inverse. */
export function timeWords({ first, second }: Cursors): string {
  if (first === undefined) return "";
  const at = instant(first);
  if (second === undefined) return at;
  const apart = Math.abs(first - second);
  const rate = apart > 0 ? ` · 1/Δt ${engineering(1 / apart, "Hz", 5)}` : "";
  return `${at} · second ${instant(second)} · Δt ${typeset(engineering(first - second, "s", 5))}${rate}`;
}

/** The stretch that is seen. */
export function seenWords({ from, to }: SeenSpan): string {
  return `shown: ${instant(from)} to ${instant(to)}`;
}

function instant(t: number): string {
  return t === 0 ? "0 s" : engineering(t, "s", 7);
}

export function valueWords(plot: PanelPlot, { first, second }: Cursors): string {
  const one = first === undefined ? undefined : plot.values(first);
  if (!one) return "";
  const two = second === undefined ? undefined : plot.values(second);
  const words = rangeWords(plot, one);
  if (!two) return words;
  const apart = one.low === one.high && two.low === two.high ? ` · Δ ${value(plot, one.low - two.low)}` : "";
  return `${words} · second ${rangeWords(plot, two)}${apart}`;
}

function rangeWords(plot: PanelPlot, { low, high }: { low: number; high: number }): string {
  return high - low <= plot.dust
    ? value(plot, (low + high) / 2)
    : `${value(plot, low)} … ${value(plot, high)}`;
}

function value(plot: PanelPlot, v: number): string {
  return typeset(visible(engineering(Math.abs(v) < plot.dust ? 0 : v, plot.unit)));
}

/** The words below the panels: what the axis is, and what the drawing means. @param laid whose periods are overlaid */
export function footWords(
  { origin, unit }: Pick<Scale, "origin" | "unit">,
  marks: readonly Happening[],
  banded: boolean,
  laid?: string,
): string {
  const after = origin === 0 ? "" : ` after ${engineering(origin, "s", 9)}`;
  const of = laid === undefined ? "" : ` from the start of each period of ${visible(laid)}`;
  const band = banded ? `; ${bandWords}` : "";
  const happened = marks.map(({ at, label }) => `${visible(label)} at ${engineering(at, "s")}`);
  const dotted = happened.length > 0 && laid === undefined ? `; dotted: ${happened.join(", ")}` : "";
  return `time${of}${after} (${unit})${band}${dotted}`;
}
