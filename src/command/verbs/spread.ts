// The verb `spread`: what tolerances and temperature do to the checks, by random trials or at the corners.
import { readFileSync } from "node:fs";
import { extname } from "node:path";
import { refuseOption } from "../../base/asked.js";
import { DesignError } from "../../base/diagnostic.js";
import { dimension, unitOf } from "../../base/dimension.js";
import { settableValues } from "../../design/revalue.js";
import { histogramPicture } from "../../report/histogram.js";
import type { ExperimentOptions, Measured } from "../../spread/experiment.js";
import { merge, readTrials } from "../../spread/merge.js";
import { type Spread, summarise } from "../../spread/summary.js";
import { rangeOf, seedOf, type TrialRange, type Trials } from "../../spread/trials.js";
import { cornerSearch, type WorstCase } from "../../spread/worst.js";
import { Bar } from "../bar.js";
import { asNamed } from "../bitmap.js";
import { type Cautioned, withCautions } from "../cautioning.js";
import { interruptible } from "../interrupt.js";
import { load } from "../load.js";
import { measuredFrom, stockFrom } from "../measuredoption.js";
import { anyText, flag, names, path, quantityText, repeatable, whole } from "../option.js";
import { jsonText, printable, tell, toldPath, tryFile, writeFile } from "../output.js";
import { EarlyEnd, reasonOf, status } from "../refusal.js";
import { demandBitmap, inDark, oneCase, otherValues, simulateAsked, simulating } from "../sharedoptions.js";
import { spreadLines, worstLines } from "../spreadtext.js";
import { refuseBesideMerge, refuseUnsliced, type SliceOf, slicing } from "../studyslices.js";
import { randomTrials, tellLost, trialling } from "../trialling.js";
import { type Asked, designFile, verb } from "../verb.js";

const temperature = dimension.temperature;

const options = {
  trials: anyText("N", "random trials: how many (default: 1000), or which, e.g. 5000..9999"),
  seed: whole("trial n of a seed is always the same (default: 1)"),
  worst: flag("the worst case instead: every value at an end of its tolerance"),
  exact: flag("with --worst: all corners, however many, up to a million"),
  from: quantityText(
    temperature,
    "TEMPERATURE",
    "lowest temperature, about that at which values hold, e.g. -25K",
  ),
  to: quantityText(
    temperature,
    "TEMPERATURE",
    "highest temperature, e.g. 30K (without both: drifts do not count)",
  ),
  measured: repeatable(
    "BAG",
    "values drawn from a file of measured parts, e.g. 'timing from reel.csv'",
    measuredFrom,
  ),
  ...oneCase,
  cases: flag("the design as drawn and every case"),
  checks: names("checks to measure (default: those of the case)"),
  workers: whole("how many runs at a time (default: what the machine has)", 1, 256),
  ...inDark,
  out: path(
    "FILE",
    "keep the trials in this file (JSON), to be merged with others; .svg, .png: their histograms",
  ),
  ...slicing,
  ...otherValues,
  ...simulating,
};

type SpreadAsked = Asked<typeof options>;

/** The result: a spread or a worst case, if all of it was run. */
interface Result {
  readonly spread?: Spread;
  readonly worst?: WorstCase;
  readonly whole: boolean;
  readonly looked: readonly Cautioned[];
}

export const spreadVerb = verb({
  word: "spread",
  summary: "shows what tolerances and temperature do to the checks",
  operand: { ...designFile, many: true },
  options,
  more: `A value spreads as the design says, in lines such as
  given timing = 15 nF +- 5 %, drift 30 ppm/K, spread normal
Measured parts take the place of its tolerance: a trial takes each of a bag once at most ('line.c, field.c from bag.csv'), the next
one finds them all again. Behind 'line.c with field.c from pairs.csv' whole rows are drawn, as 'pair --out' writes them.
Ctrl-C ends the trials; what has been run is shown, and kept with --out.`,
  example: "spread line.ramp --trials 5000",
  statuses: {
    0: "every check passes in all trials (at all corners that were run)",
    1: "one does not",
    2: "the design or an option is wrong",
    3: "not all of it was run",
  },
  run(asked): Promise<Result> {
    const { operands, options } = asked;
    if (options.merge) return merged(asked);
    refuseUnsliced(operands, options);
    if (!options.worst) {
      if (options.exact) refuseOption("--exact", "it goes with --worst");
      return random(asked);
    }
    if (options.trials !== undefined || options.seed !== undefined)
      refuseOption("--worst", "the worst case has no trials: leave --trials and --seed out");
    if (options.slice) refuseOption("--slice", "each corner of the worst case is chosen by those before it");
    if (options.out !== undefined) refuseOption("--out", "it keeps trials; of the worst case take --json");
    return worst(asked);
  },
  text: ({ spread, worst }) => {
    const lines = spread ? spreadLines(spread) : worst ? worstLines(worst) : [];
    return lines.length === 0 ? "" : `${lines.map(printable).join("\n")}\n`;
  },
  json: ({ spread, worst }) => spread ?? worst ?? {},
  status: ({ spread, worst, whole }) => {
    if (!whole) return status.stopped;
    const passing = spread
      ? spread.checks.every((c) => c.pass.count === c.pass.of)
      : worst!.checks.every((c) => c.pass);
    return passing ? status.good : status.fails;
  },
  designs: ({ looked }) => looked,
});

async function random(asked: SpreadAsked): Promise<Result> {
  const { options } = asked;
  const range = sliceOf(rangeOf(trialsOf(options.trials)), options.slice);
  const seed = seedOf(options.seed ?? 1);
  const { loaded, ...trying } = await ready(asked, range.to - range.from);
  const { trials, whole } = await randomTrials(trying, range, seed);
  await keep(trials, [loaded], options);
  return { spread: summarise(trials), whole, looked: [loaded] };
}

async function worst(asked: SpreadAsked): Promise<Result> {
  const { experiment, pool, results, lost, loaded } = await ready(asked, Number.POSITIVE_INFINITY);
  const bar = new Bar("places");
  const work = cornerSearch(experiment.subject, { exact: asked.options.exact });
  let found: WorstCase | undefined;
  const look = async () => {
    let next = work.next();
    for (;;) {
      if (next.done) {
        found = next.value;
        return;
      }
      const batch = next.value;
      const measured: Measured[] = [];
      let done = 0;
      results((id, one) => {
        measured[id] = one;
        bar.at(++done, batch.length);
      });
      await pool.run(batch.map((at, id) => ({ id, places: at })));
      // An incomplete batch tells nothing.
      if (done < batch.length) return;
      next = work.next(measured);
    }
  };
  const cancelled = await interruptible(
    bar,
    () => look().finally(() => pool.close()),
    () => pool.cancel(),
  );
  tellLost(lost, "place");
  if (!found && cancelled)
    tell("rampwright: cancelled; the worst case is known only when all of its places are");
  return { worst: found, whole: found !== undefined, looked: [loaded] };
}

async function merged({ operands, options }: SpreadAsked): Promise<Result> {
  const { out, dark } = options;
  demandBitmap(dark, out);
  refuseBesideMerge(options, ["out", "dark"]);
  if (out !== undefined) tryFile(out);
  const slices = operands.map(slice);
  const [first, ...others] = slices.map(({ trials }) => trials);
  const whole = merge(first, ...others);
  await keep(whole, slices, options);
  return { spread: summarise(whole), whole: true, looked: slices };
}

/** The trials of a slice: a contiguous range, so that two numbers describe it. */
function sliceOf({ from, to }: TrialRange, slice: SliceOf | undefined): TrialRange {
  if (!slice) return { from, to };
  const { part, of } = slice;
  const at = (k: number) => from + Math.floor(((to - from) * k) / of);
  if (at(part) === at(part - 1))
    refuseOption("--slice", `${to - from} trials make no ${of} slices: this one would be empty`);
  return { from: at(part - 1), to: at(part) };
}

/** Trials of a file, and the cautions that stand with them. */
function slice(file: string): { readonly trials: Trials; readonly cautions: unknown } {
  let data: unknown;
  try {
    data = JSON.parse(readFileSync(file === "-" ? 0 : file, "utf8"));
  } catch (error) {
    const reason = error instanceof SyntaxError ? "it is no JSON" : reasonOf(error);
    throw new EarlyEnd(`${file} cannot be read: ${reason}`, status.wrong);
  }
  try {
    const { cautions, ...trials }: Trials & { readonly cautions?: unknown } = readTrials(data);
    return { trials, cautions };
  } catch (error) {
    if (error instanceof DesignError) tell(`rampwright: ${printable(file)}:`);
    throw error;
  }
}

/** The experiment, and a pool of workers that measure the same way. */
async function ready({ operands: [file], options }: SpreadAsked, jobs: number) {
  const loaded = await load(file, options);
  demandBitmap(options.dark, options.out);
  if (options.out !== undefined) tryFile(options.out);
  const { case: caseName, cases, checks, from, to, workers, measured } = options;
  const known = settableValues(loaded.design);
  const unit = (name: string) => (known.has(name) ? unitOf(known.get(name)!.amount.dimension) : undefined);
  const experiment: ExperimentOptions = {
    case: caseName,
    cases,
    checks,
    temperature: (from ?? to) === undefined ? undefined : { from: from ?? "0 K", to: to ?? "0 K" },
    measured: measured && stockFrom(measured, unit),
    simulate: simulateAsked(options),
  };
  return { loaded, ...trialling(loaded, { file, experiment, workers, jobs }) };
}

async function keep(
  trials: Trials,
  looked: readonly Cautioned[],
  { out, dark }: Pick<SpreadAsked["options"], "out" | "dark">,
): Promise<void> {
  if (out === undefined) return;
  const drawn = [".svg", ".png"].includes(extname(out));
  await writeFile(
    out,
    drawn ? [await asNamed(out, histogramPicture(trials), dark)] : trialsText(withCautions(trials, looked)),
  );
  tell(toldPath(out));
}

/** Trials as JSON, in pieces: the text of a million trials would exceed the longest possible string. */
function* trialsText(trials: Trials): Generator<string> {
  const [head, tail] = jsonText({ ...trials, measured: [] }, 0).split('"measured":[]');
  yield `${head}"measured":[`;
  for (const [k, values] of trials.measured.entries()) {
    yield k === 0 ? "[" : ",[";
    for (let at = 0; at < values.length; at += 65_536)
      yield `${at === 0 ? "" : ","}${numbersText(values.slice(at, at + 65_536))}`;
    yield "]";
  }
  yield `]${tail}`;
}

function numbersText(values: readonly number[]): string {
  return values.map((v) => (Number.isFinite(v) ? String(v + 0) : "null")).join(",");
}

// `1000`, or `5000..9999` with both ends.
function trialsOf(words: string | undefined): number | { from: number; to: number } | undefined {
  if (words === undefined) return undefined;
  const range = /^(\d+)\.\.(\d+)$/.exec(words.trim());
  if (range) return { from: Number(range[1]), to: Number(range[2]) + 1 };
  return words.trim() === "" ? Number.NaN : Number(words);
}
