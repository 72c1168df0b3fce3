// Waveforms as written to exact waves: the words of each form, their dimensions, and what can be wrong with them.

import type { Report } from "../base/diagnostic.js";
import type { Dimension } from "../base/dimension.js";
import * as dimension from "../base/dimension.js";
import type { Fraction } from "../base/fraction.js";
import { nearest } from "../base/nearest.js";
import { quantity, show } from "../base/quantity.js";
import type { Range } from "../parts/contract.js";
import { type System, sync, systems } from "../signals/sync.js";
import { gated, path as pathWave, pulse, ShapeError, scaled, sine, type Wave } from "../signals/wave.js";
import type { Property, Waveform } from "../syntax/tree.js";
import type { Values } from "./values.js";

/** Words of one form of waveform. */
export type WaveWords = Readonly<
  Record<
    string,
    {
      readonly takes: Dimension;
      readonly range: Range;
      readonly required?: boolean;
      readonly summary: string;
    }
  >
>;

// Words that every form takes.
const common: WaveWords = {
  starts: { takes: dimension.time, range: "any", summary: "before this instant the wave rests" },
  stops: { takes: dimension.time, range: "any", summary: "from this instant on it rests" },
  scaled: { takes: dimension.number, range: "any", summary: "factor on all its levels" },
};

/** The forms of waveforms and their words. */
export const forms: Readonly<Record<Waveform["type"], WaveWords>> = {
  pulse: {
    wide: { takes: dimension.time, range: "positive", required: true, summary: "width at half height" },
    every: { takes: dimension.time, range: "positive", summary: "period; without it there is one pulse" },
    edges: {
      takes: dimension.time,
      range: "not negative",
      summary: "10-90 % time of its straight edges, 0 s unless given",
    },
    first: {
      takes: dimension.time,
      range: "any",
      summary: "when a leading edge is half up, 0 s unless given",
    },
    ...common,
  },
  sine: {
    at: { takes: dimension.frequency, range: "positive", required: true, summary: "frequency" },
    phase: {
      takes: dimension.number,
      range: "any",
      summary: "phase at time zero, 0 deg (rising through the middle) unless given",
    },
    ...common,
  },
  sync: {
    edges: {
      takes: dimension.time,
      range: "not negative",
      summary: "10-90 % time of its edges, 0 s unless given",
    },
    ...common,
  },
  path: {
    every: { takes: dimension.time, range: "positive", summary: "period; without it the last level stays" },
    ...common,
  },
};

const kinds = ["line", "field", "composite"] as const;

/** The exact wave of a waveform whose levels have the dimension; undefined when something is wrong with it. */
export function readWave(w: Waveform, dim: Dimension, values: Values, report: Report): Wave | undefined {
  const words = readProperties(w, values, report);
  const wave = readForm(w, words, dim, values, report);
  if (!wave || !words) return undefined;
  const [starts, stops, factor] = [words.get("starts"), words.get("stops"), words.get("scaled")];
  const on = starts || stops ? gated(wave, { ...(starts && { starts }), ...(stops && { stops }) }) : wave;
  return factor ? scaled(on, factor) : on;
}

function readForm(
  w: Waveform,
  words: Map<string, Fraction> | undefined,
  dim: Dimension,
  values: Values,
  report: Report,
): Wave | undefined {
  const what = dimension.same(dim, dimension.current) ? "a level of this current" : "a level of this signal";
  const level = (e: Parameters<Values["fraction"]>[0]) => values.fraction(e, dim, what);
  try {
    if (w.type === "path") {
      const points = w.points.map((p) => ({
        time: values.fraction(p.time, dimension.time, "the time of a point"),
        value: level(p.level),
      }));
      if (!words || points.some((p) => !p.time || !p.value)) return undefined;
      return pathWave({
        points: points.map((p) => ({ time: p.time!, value: p.value! })),
        ...(words.has("every") && { period: words.get("every")! }),
      });
    }
    const low = level(w.low);
    const high = level(w.high);
    if (w.type === "sync") {
      const system = systems.find((s) => s === w.system.text);
      if (!system)
        reportName(report, "unknown-system", `no system is called '${w.system.text}'`, w.system, systems);
      const which = kinds.find((k) => k === w.which.text);
      if (!which) reportName(report, "unknown-sync", `there is no '${w.which.text} sync'`, w.which, kinds);
      if (!low || !high || !words || !system || !which) return undefined;
      return sync(system as System, which, {
        low,
        high,
        ...(words.has("edges") && { edges: words.get("edges")! }),
      });
    }
    if (!low || !high || !words) return undefined;
    if (w.type === "sine") {
      const phase = words.get("phase");
      return sine({ low, high, frequency: words.get("at")!, ...(phase && { phase }) });
    }
    const [period, edges, first] = [words.get("every"), words.get("edges"), words.get("first")];
    return pulse({
      low,
      high,
      width: words.get("wide")!,
      ...(period && { period }),
      ...(edges && { edges }),
      ...(first && { first }),
    });
  } catch (error) {
    if (!(error instanceof ShapeError)) throw error;
    const period = words?.get("every");
    const allowed =
      error.code === "full-period" && period
        ? `, allowed is less than ${show(quantity(period, dimension.time))}`
        : "";
    report.error(error.code, error.message + allowed, w.span, { hint: error.hint });
    return undefined;
  }
}

function readProperties(w: Waveform, values: Values, report: Report): Map<string, Fraction> | undefined {
  const words = forms[w.type];
  const found = new Map<string, Fraction>();
  let sound = true;
  for (const p of w.properties) {
    const word = p.word.text;
    const known = Object.hasOwn(words, word) ? words[word]! : undefined;
    if (!known) {
      reportName(report, "unknown-property", `a ${w.type} has no '${word}'`, p.word, Object.keys(words));
      sound = false;
    } else if (p.value.type !== "amount") {
      report.error("property-form", `'${word}' takes ${dimension.nameOf(known.takes)}`, p.span);
      sound = false;
    } else if (repeated(found, p, report)) sound = false;
    else {
      const value = values.fraction(p.value.amount.value, known.takes, `'${word}'`, known.range);
      if (value) found.set(word, value);
      else sound = false;
    }
  }
  for (const [word, { required, takes }] of Object.entries(words)) {
    if (!required || w.properties.some((p) => p.word.text === word)) continue;
    report.error("missing-property", `this ${w.type} does not say '${word}'`, w.span, {
      hint: `add ', ${word}' and ${dimension.nameOf(takes)}`,
    });
    sound = false;
  }
  return sound ? found : undefined;
}

/** Reports a property given twice. */
export function repeated(found: ReadonlyMap<string, unknown>, p: Property, report: Report): boolean {
  if (!found.has(p.word.text)) return false;
  report.error("repeated-property", `'${p.word.text}' is given twice`, p.span);
  return true;
}

/** Reports a word that is not one of those known, with the nearest of them as a mend. */
export function reportName(
  report: Report,
  code: string,
  message: string,
  at: { readonly text: string; readonly span: Property["span"] },
  known: readonly string[],
): void {
  const near = nearest(at.text, known);
  if (near)
    report.error(code, message, at.span, {
      hint: `did you mean '${near}'?`,
      fix: { span: at.span, text: near },
    });
  else
    report.error(code, message, at.span, {
      hint: known.length > 0 ? `known here: ${some(known)}` : undefined,
    });
}

function some(words: readonly string[]): string {
  return words.length > 12 ? `${words.slice(0, 12).join(", ")}, …` : words.join(", ");
}
