// The verb `spread`: what tolerances and temperature do to the checks, by random trials or at the corners.
// Takes FILE, or slices that were written before; prints a table or one JSON object, and writes the trials where asked.
// Status: 0 every check passes in every trial (at every corner that was run), 1 one does not, 2 the design or an option is
// wrong, 3 not all was run: cancelled, or workers ended again and again (what there is is shown and written).
import { readFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { drivesTube } from "../../report/cautions.js";
import { Experiment, type ExperimentOptions, type Measured } from "../../spread/experiment.js";
import { merge, readTrials } from "../../spread/merge.js";
import { summarise } from "../../spread/summary.js";
import { asDesigned, Log, places, rangeOf, seedOf, type Trials } from "../../spread/trials.js";
import { cornerSearch, type WorstCase } from "../../spread/worst.js";
import { schemaVersion } from "../../waveforms/writing.js";
import { Bar } from "../bar.js";
import { plainJson } from "../columns.js";
import { folderOf } from "../input.js";
import { interruptible } from "../interrupt.js";
import { attempt, load, workersOf } from "../load.js";
import { printable, say, tell, tryFile, writeFile } from "../output.js";
import { Pool } from "../pool.js";
import { EarlyEnd, reasonOf, status } from "../refusal.js";
import { spreadLines, worstLines } from "../spreadtext.js";
import { threadsFor } from "../threads.js";
import type { PlacesJob } from "../worker.js";
import { tellCautions } from "./check.js";

/** Options of the verb. */
export interface SpreadVerbOptions {
  readonly trials?: string;
  readonly seed?: string;
  readonly worst?: boolean;
  readonly exact?: boolean;
  readonly merge?: boolean;
  readonly case?: string;
  readonly cases?: boolean;
  readonly checks?: string;
  readonly from?: string;
  readonly to?: string;
  readonly until?: string;
  readonly workers?: string;
  readonly out?: string;
  readonly json?: boolean;
}

/** Runs the verb; gives the status. */
export async function spreadVerb(files: readonly string[], options: SpreadVerbOptions): Promise<number> {
  const json = options.json === true;
  if (options.merge) return merged(files, options, json);
  if (files.length > 1)
    throw new EarlyEnd("one design at a time; slices are put together with --merge", status.wrong);
  if (options.worst && (options.trials !== undefined || options.seed !== undefined))
    throw new EarlyEnd("the worst case has no trials: leave --trials and --seed out", status.wrong);
  if (options.exact && !options.worst) throw new EarlyEnd("--exact goes with --worst", status.wrong);
  if (options.worst && options.out !== undefined)
    throw new EarlyEnd("--out keeps trials; of the worst case take --json", status.wrong);
  return options.worst ? worst(files[0], options, json) : random(files[0], options, json);
}

async function random(file: string, options: SpreadVerbOptions, json: boolean): Promise<number> {
  const { from, to } = attempt(() => rangeOf(asked(options.trials)), json);
  const seed = attempt(() => seedOf(number(options.seed, 1)), json);
  const { experiment, pool, results, lost, cautious } = ready(file, options, json, to - from);
  const { subject } = experiment;
  const log = new Log(
    subject,
    seed,
    attempt(() => experiment.at(asDesigned(subject)), json),
  );
  const jobs = function* (): Generator<PlacesJob> {
    for (let id = from; id < to; id++) yield { id, places: places(subject.axes, seed, id) };
  };
  const bar = new Bar("trials");
  results((id, measured) => {
    log.add(id, measured);
    bar.at(log.count, to - from);
  });
  const cancelled = await interruptible(
    bar,
    () => pool.run(jobs()).finally(() => pool.close()),
    () => pool.cancel(),
  );
  const trials = log.trials();
  await show(trials, options, json);
  if (cautious && !json) tellCautions();
  tellLost(lost, "trial");
  const left = to - from - log.count;
  if (cancelled) tell(`rampwright: cancelled with ${left} of ${to - from} trials not run`);
  if (cancelled || lost.size > 0) return status.stopped;
  return passing(trials) ? status.good : status.fails;
}

async function worst(file: string, options: SpreadVerbOptions, json: boolean): Promise<number> {
  const { experiment, pool, results, lost, cautious } = ready(file, options, json, Number.POSITIVE_INFINITY);
  const bar = new Bar("places");
  const exact = options.exact === true;
  const work = cornerSearch(experiment.subject, { exact });
  let found: WorstCase | undefined;
  const look = async () => {
    let next = attempt(() => work.next(), json);
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
      // Of a batch that is not whole nothing can be said.
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
  if (!found) {
    if (cancelled) tell("rampwright: cancelled; the worst case is known only when all of its places are");
    return status.stopped;
  }
  if (json) say(plainJson({ schemaVersion, ...found }));
  else say(`${worstLines(found).map(printable).join("\n")}\n`);
  if (cautious && !json) tellCautions();
  return found.checks.every((c) => c.pass) ? status.good : status.fails;
}

async function merged(files: readonly string[], options: SpreadVerbOptions, json: boolean): Promise<number> {
  if (options.out !== undefined) tryFile(options.out);
  const slices = files.map((file) => slice(file, json));
  const whole = attempt(() => slices.reduce((a, b) => merge(a, b)), json);
  await show(whole, options, json);
  return passing(whole) ? status.good : status.fails;
}

function slice(file: string, json: boolean): Trials {
  let data: unknown;
  try {
    data = JSON.parse(readFileSync(file === "-" ? 0 : file, "utf8"));
  } catch (error) {
    const reason = error instanceof SyntaxError ? "it is no JSON" : reasonOf(error);
    throw new EarlyEnd(`${printable(file)} cannot be read: ${reason}`, status.wrong);
  }
  return attempt(() => {
    try {
      return readTrials(data);
    } catch (error) {
      tell(`rampwright: ${printable(file)}:`);
      throw error;
    }
  }, json);
}

/** The experiment, and a pool of workers that measure as it does. */
function ready(file: string, options: SpreadVerbOptions, json: boolean, jobs: number) {
  const { design, source } = load(file, json);
  if (options.out !== undefined) tryFile(options.out);
  const { until, checks, from, to } = options;
  const asked: ExperimentOptions = {
    ...(options.case !== undefined && { case: options.case }),
    ...(options.cases && { cases: true }),
    ...(checks !== undefined && { checks: checks.split(",").map((name) => name.trim()) }),
    ...((from ?? to) !== undefined && { temperature: { from: from ?? "0 K", to: to ?? "0 K" } }),
    ...(until !== undefined && { simulate: { until } }),
  };
  const workers = workersOf(options.workers, Math.min(availableParallelism(), jobs));
  const experiment = attempt(() => new Experiment(design, asked), json);
  const lost = new Map<number, string>();
  let result: (id: number, measured: Measured) => void = () => undefined;
  const task = { text: source.text, name: source.name, folder: folderOf(file), options: asked };
  const pool = new Pool<PlacesJob, Measured>({
    workers,
    hire: threadsFor<PlacesJob, Measured>(task, experiment.subject.fingerprint),
    done: (id, measured) => result(id, measured),
    lost: (id, reason) => lost.set(id, reason),
  });
  const results = (take: typeof result) => {
    result = take;
  };
  return { experiment, pool, results, lost, cautious: drivesTube(source.text, design) };
}

async function show(trials: Trials, { out }: SpreadVerbOptions, json: boolean): Promise<void> {
  if (out !== undefined) {
    const number = (_: string, value: unknown) =>
      typeof value !== "number" || Number.isFinite(value) ? value : null;
    await writeFile(out, [`${JSON.stringify({ schemaVersion, ...trials }, number)}\n`]);
    tell(printable(out));
  }
  const spread = summarise(trials);
  if (json) say(plainJson({ schemaVersion, ...spread }));
  else say(`${spreadLines(spread).map(printable).join("\n")}\n`);
}

function passing(trials: Trials): boolean {
  return summarise(trials).checks.every((c) => c.pass.count === c.pass.of);
}

function tellLost(lost: ReadonlyMap<number, string>, what: string): void {
  for (const [id, reason] of lost)
    tell(`rampwright: ${what} ${id} ended its worker every time: ${printable(reason)}`);
}

// `1000`, or `5000..9999` with both ends.
function asked(words: string | undefined): number | { from: number; to: number } | undefined {
  if (words === undefined) return undefined;
  const range = /^(\d+)\.\.(\d+)$/.exec(words.trim());
  return range ? { from: Number(range[1]), to: Number(range[2]) + 1 } : number(words, 0);
}

function number(words: string | undefined, otherwise: number): number {
  if (words === undefined) return otherwise;
  return words.trim() === "" ? Number.NaN : Number(words);
}
