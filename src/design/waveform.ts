// Turns waveforms as written into exact waves: the words of each form, their dimensions, and what can be wrong with them.

import { DesignError, type Report } from "../base/diagnostic.js";
import { type Dimension, dimension, sameDimension, unitOf } from "../base/dimension.js";

import { type Fraction, ratio, toNumber, zero } from "../base/fraction.js";
import { quantity, show } from "../base/quantity.js";
import { lackingIn } from "../instruments/capture.js";
import { noise } from "../signals/noise.js";
import { sync, systems, type VideoSystem } from "../signals/sync.js";
import { constant, gated, pathWave, pulse, ShapeError, scaled, sine, type Wave } from "../signals/wave.js";
import type { Expression, Waveform } from "../syntax/tree.js";
import { type CaptureFiles, captureWords } from "./capturefiles.js";
import type { ValueReader } from "./values.js";
import { type VideoWaves, videoWords, wordsOf } from "./videowave.js";
import { readProperties, reportName, type WaveWords, type Written } from "./words.js";

// Words that every form takes.
const common: WaveWords = {
  starts: { takes: dimension.time, range: "any", summary: "before this instant the wave rests" },
  stops: { takes: dimension.time, range: "any", summary: "from this instant on it rests" },
  scaled: { takes: dimension.number, range: "any", summary: "factor on all its levels" },
};

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
  video: { ...videoWords, ...common },
  capture: {
    ...captureWords,
    every: { takes: dimension.time, range: "positive", summary: "period; without it the last level stays" },
    ...common,
  },
  noise: {
    spacing: {
      takes: dimension.time,
      range: "positive",
      required: true,
      summary: "time between its random levels; its power falls to half near 0.32/spacing",
    },
    every: {
      takes: dimension.time,
      range: "positive",
      summary: "time after which it repeats, ten thousand spacings unless given",
    },
    seed: { takes: dimension.number, range: "any", summary: "a whole number, 0 unless given" },
    ...common,
  },
};

/** What the caller hands in for waves: pictures and captures. */
export interface Handed {
  readonly videoWaves: VideoWaves;
  readonly captures: CaptureFiles;
}

/** The words that may stand before `sync`. */
export const syncWords = ["line", "field", "composite"] as const;

/** The exact wave of a waveform whose levels have a dimension; undefined if something is wrong with it. */
export function readWave(
  w: Waveform,
  dim: Dimension,
  values: ValueReader,
  handed: Handed,
  report: Report,
): Wave | undefined {
  const words = w.type === "video" ? { ...wordsOf(w), ...common } : forms[w.type];
  const what =
    w.type === "video" ? `video of ${w.pattern.text}` : w.type === "noise" ? w.type : `a ${w.type}`;
  const written = readProperties(w, words, what, values, report);
  const wave = readForm(w, written, dim, values, handed);
  if (!wave || !written) return undefined;
  const [starts, stops, factor] = ["starts", "stops", "scaled"].map((word) => written.amounts.get(word));
  const on = starts || stops ? gated(wave, { starts, stops }) : wave;
  return factor ? scaled(on, factor) : on;
}

function readForm(
  w: Waveform,
  written: Written | undefined,
  dim: Dimension,
  values: ValueReader,
  { videoWaves, captures }: Handed,
): Wave | undefined {
  const { report } = values;
  const words = written?.amounts;
  const what = sameDimension(dim, dimension.current) ? "a level of this current" : "a level of this signal";
  const level = (e: Expression) => values.fraction(e, dim, what);
  try {
    if (w.type === "video") {
      if (sameDimension(dim, dimension.voltage)) return written && videoWaves.read(w, written, report);
      return report.error("wrong-dimension", "video is a voltage", w.span, { hint: "make it a signal" });
    }
    if (w.type === "capture") return written && driven(w, written, dim, captures, report);
    if (w.type === "noise") {
      const rms = values.fraction(w.size, dim, "the size of this noise", "not negative");
      if (!rms || !words) return undefined;
      // Silence has no corners, and costs no steps.
      if (rms.n === 0n) return constant(zero);
      const spacing = words.get("spacing")!;
      const length = words.get("every") ?? spacing.mul(10_000);
      return noise({ rms, spacing, length, seed: toNumber(words.get("seed") ?? ratio(0)) });
    }
    if (w.type === "path") return words && pathOf(w, words, level, values);
    const low = level(w.low);
    const high = level(w.high);
    if (w.type === "sync") {
      const system = systems.find((s) => s === w.system.text);
      if (!system)
        reportName(report, "unknown-system", `no system is called '${w.system.text}'`, w.system, systems);
      const which = syncWords.find((k) => k === w.which.text);
      if (!which)
        reportName(report, "unknown-sync", `there is no '${w.which.text} sync'`, w.which, syncWords);
      if (!low || !high || !words || !system || !which) return undefined;
      return sync(system as VideoSystem, which, {
        low,
        high,
        ...(words.has("edges") && { edges: words.get("edges")! }),
      });
    }
    if (!low || !high || !words) return undefined;
    if (w.type === "sine") {
      if (low.n === 0n && high.n === 0n) return constant(zero);
      const phase = words.get("phase");
      return sine({ low, high, frequency: words.get("at")!, phase });
    }
    const [period, edges, first] = [words.get("every"), words.get("edges"), words.get("first")];
    return pulse({
      low,
      high,
      width: words.get("wide")!,
      period,
      edges,
      first,
    });
  } catch (error) {
    if (error instanceof DesignError)
      for (const { code, message, hint } of error.diagnostics) report.error(code, message, w.span, { hint });
    else if (!(error instanceof ShapeError)) throw error;
    if (!(error instanceof ShapeError)) return undefined;
    const period = words?.get("every");
    const allowed =
      error.code === "full-period" && period
        ? `, allowed is less than ${show(quantity(period, dimension.time))}`
        : "";
    return report.error(error.code, error.message + allowed, w.span, { hint: error.hint });
  }
}

function pathOf(
  { points }: Waveform & { type: "path" },
  words: Written["amounts"],
  level: (e: Expression) => Fraction | undefined,
  values: ValueReader,
): Wave | undefined {
  const read = points.map((p) => ({
    time: values.fraction(p.time, dimension.time, "the time of a point"),
    value: level(p.level),
  }));
  if (read.some((p) => !p.time || !p.value)) return undefined;
  return pathWave({
    points: read.map((p) => ({ time: p.time!, value: p.value! })),
    ...(words.has("every") && { period: words.get("every")! }),
  });
}

function driven(
  w: Waveform & { type: "capture" },
  { amounts, channels }: Written,
  dim: Dimension,
  captures: CaptureFiles,
  report: Report,
): Wave | undefined {
  const capture = captures.read(w.path, amounts.get("interval"), report);
  if (!capture) return undefined;
  const channel = channels.get("channel");
  const lacking = lackingIn(capture, channel);
  if (lacking !== undefined) report.warn("doubtful-capture", lacking, w.path.span);
  return captures.wave(capture, {
    channel,
    unit: unitOf(dim),
    factor: amounts.get("attenuated") ?? ratio(1),
    delay: amounts.get("delay") ?? zero,
    period: amounts.get("every"),
  });
}
