// Where to look, and for what: the columns of a table of symptoms. Floor, peak, mean and swing of each place and of each supply's
// current, what the checks measure, and what a caller adds. A measure without a time of its own takes the window of its case, in
// which the start is over.

import { DesignError } from "../base/diagnostic.js";
import { toNumber } from "../base/fraction.js";
import { engineering } from "../base/quantity.js";
import { largestOf } from "../base/search.js";
import type { Design, MeasureSpec } from "../design/design.js";
import { shownUnit } from "../design/heading.js";
import { measures } from "../measures/measures.js";
import type { TimeSpan } from "../measures/window.js";
import type { Wave } from "../signals/wave.js";
import { readPhrase } from "../syntax/phrase.js";

/** One measurement in one case. Plain data, SI units. */
export interface SymptomColumn {
  /** The case; empty for the design as drawn. */
  readonly case: string;
  /** The phrase that is measured: `peak of ramp`. */
  readonly what: string;
  /** Unit of what is measured; empty for a share or a count. */
  readonly unit: string;
  /** How it is shown. */
  readonly shown: "value" | "share" | "count";
  /** Equal where the same is measured over the same time, however it is phrased. */
  readonly key: string;
}

/** A column and how to measure it. */
export interface Looked extends SymptomColumn {
  readonly spec: MeasureSpec;
  /** Set for a standard measure over the window of its case. */
  readonly standard?: StandardWord;
}

/** The measures taken of every place. */
export const standardWords = ["floor", "peak", "mean", "swing"] as const;
export type StandardWord = (typeof standardWords)[number];

/**
 * The time in which a run shows its lasting state: for a case from the start of its first check that states a time, else the
 * later half. It is cut to whole periods of the slowest signal, as many as fit, so that a mean is that of a period.
 * @param until end of the run, s
 */
export function windowOf({ checks, caseName, parts }: Design, until: number): TimeSpan {
  const said = caseName === "" ? undefined : checks.find((c) => c.at === undefined && c.after !== undefined);
  const to = Math.min(said?.before ?? until, until);
  const from = said && said.after! < to ? said.after! : to / 2;
  const period = largestOf(
    parts.map(({ wave }) => (wave ? periodOf(wave) : 0)),
    0,
  );
  const periods = period > 0 ? Math.floor((1 + 1e-9) * ((to - from) / period)) : 0;
  return { from: periods > 0 ? to - periods * period : from, to };
}

/** The period of a wave, s (for video that of a field); 0 where it has none. */
function periodOf({ shape }: Wave): number {
  if (shape.kind === "segments") return shape.period ? toNumber(shape.period) : 0;
  if (shape.kind === "sine") return 1 / toNumber(shape.frequency);
  if (shape.kind !== "packed") return 0;
  return shape.picture ? toNumber(shape.picture.frame) / 2 : toNumber(shape.period);
}

/** A specification with the window of its case if it states no time. */
export function timed(spec: MeasureSpec, { from, to }: TimeSpan): MeasureSpec {
  const says = spec.each ?? spec.after ?? spec.before ?? spec.at;
  return says === undefined ? { ...spec, after: from, before: to } : spec;
}

/** All columns of one case. @param extra measures that are asked for in addition */
export function columnsOf(one: Design, until: number, extra: readonly MeasureSpec[]): Looked[] {
  const window = windowOf(one, until);
  const found = new Map<string, Looked>();
  const add = (spec: MeasureSpec) => {
    const column = lookedAt(spec, one, window);
    if (!found.has(column.key)) found.set(column.key, column);
  };
  const standard = (words: StandardWord, target: string, unit: string) => {
    const measure = measures.find((m) => m.words === words)!;
    add({ measure, target, unit: measure.unit(unit), span: { line: 1, column: 1, length: 0 } });
  };
  for (const place of one.places.slice(1)) for (const words of standardWords) standard(words, place, "V");
  for (const { name, kind } of one.parts)
    if (kind.rail) for (const words of standardWords) standard(words, `${name}.current`, "A");
  for (const spec of [...one.checks, ...extra]) add(spec);
  return [...found.values()];
}

/** The column for a specification. */
export function lookedAt(given: MeasureSpec, one: Design, window: TimeSpan): Looked {
  const spec = timed(given, window);
  const { measure, target, at, through, each, within, after, before, unit } = spec;
  const standard = standardWords.find((words) => words === measure.words);
  const whole =
    standard && each === undefined && at === undefined && after === window.from && before === window.to;
  return {
    case: one.caseName,
    what: phraseOf(given),
    unit,
    shown: measure.shown ?? "value",
    key: JSON.stringify([one.caseName, measure.words, target, at, through, each, within, after, before]),
    spec,
    ...(whole && { standard }),
  };
}

/** A measurement as a phrase of the language. */
export function phraseOf({ measure, target, at, through, each, within, after, before }: MeasureSpec): string {
  const s = (t: number) => engineering(t, "s", 9);
  const words = [`${measure.words} of ${target}`];
  if (at !== undefined) words.push(`at ${s(at)}`);
  if (through) {
    const unit = /\.current$/.test(target) ? "A" : /\.power$/.test(target) ? "W" : "V";
    words.push(
      `${through.direction ? `${through.direction} ` : ""}through ${engineering(through.level, unit, 9)}`,
    );
  }
  if (each !== undefined) words.push(`each ${each}`);
  if (within) words.push(`from ${s(within.from)} to ${s(within.to)}`);
  if (after !== undefined) words.push(`after ${s(after)}`);
  if (before !== undefined) words.push(`before ${s(before)}`);
  return words.join(" ");
}

/** A value of a column, for people. */
export function columnText({ unit, shown }: SymptomColumn, value: number): string {
  if (Number.isNaN(value)) return "does not occur";
  return engineering(value, shownUnit({ unit, shown }), 3);
}

/** What a phrase asks to measure. @throws DesignError for an invalid phrase, with places in the phrase */
export function specOf(design: Design, text: string): MeasureSpec {
  const { phrase, report } = readPhrase(text);
  const spec = phrase && design.measuring(phrase, report);
  const wrong = report.diagnostics.filter((d) => d.severity === "error");
  if (!spec || wrong.length > 0) throw new DesignError(wrong);
  return spec;
}
