// Trials of a design's tolerances: an experiment with a pool of threads that measure the same way, and random trials on it.
// Ctrl-C ends them and keeps what has been run.
import { availableParallelism } from "node:os";
import { folderOf } from "../files/neighbours.js";
import { Experiment, type ExperimentOptions, type Measured } from "../spread/experiment.js";
import { asDesigned, Log, places, type Trials } from "../spread/trials.js";
import { Bar } from "./bar.js";
import { interruptible } from "./interrupt.js";
import type { Loaded } from "./load.js";
import { printable, tell } from "./output.js";
import { Pool } from "./pool.js";
import { threadsFor } from "./threads.js";
import type { PlacesJob } from "./worker.js";

/** Least and most places given to a thread at a time. */
const [leastInHand, mostInHand] = [4, 32];

/** What to try, and how. */
interface TrialsAsked {
  readonly file: string;
  readonly experiment: ExperimentOptions;
  readonly workers: number | undefined;
  /** Number of runs, or infinity if unknown. */
  readonly jobs: number;
}

/** The experiment, and a pool of workers that measure the same way. */
export function trialling(
  { design, source }: Loaded,
  { file, experiment: asked, workers, jobs }: TrialsAsked,
) {
  const experiment = new Experiment(design, asked);
  const lost = new Map<number, string>();
  let result: (id: number, measured: Measured) => void = () => undefined;
  const { text, name, values } = source;
  const task = { text, name, values, folder: folderOf(file), options: asked };
  const threads = workers ?? Math.min(availableParallelism(), jobs);
  // If their number is unknown, few are given at a time.
  const share = Number.isFinite(jobs) ? Math.floor(jobs / (16 * threads)) : 0;
  const pool = new Pool<PlacesJob, Measured>({
    workers: threads,
    // Many runs are mostly short, so more at a time: telling a thread of each one separately costs a twentieth of its time.
    inHand: Math.min(mostInHand, Math.max(leastInHand, share)),
    hire: threadsFor<PlacesJob, Measured>(task, experiment.subject.fingerprint),
    done: (id, measured) => result(id, measured),
    lost: (id, reason) => lost.set(id, reason),
  });
  const results = (take: typeof result) => {
    result = take;
  };
  return { experiment, pool, results, lost };
}

/** The results of random trials, and whether all of them were run. */
interface Tried {
  readonly trials: Trials;
  readonly whole: boolean;
}

/** Runs the trials from one number up to, but not including, another. */
export async function randomTrials(
  { experiment, pool, results, lost }: ReturnType<typeof trialling>,
  { from, to }: { readonly from: number; readonly to: number },
  seed: number,
): Promise<Tried> {
  const { subject } = experiment;
  let log!: Log;
  const jobs = function* (): Generator<PlacesJob> {
    for (let id = from; id < to; id++) yield { id, places: places(subject.axes, seed, id) };
  };
  const bar = new Bar("trials");
  results((id, measured) => {
    log.add(id, measured);
    bar.at(log.count, to - from);
  });
  const run = () => {
    const running = pool.run(jobs()).finally(() => pool.close());
    try {
      // While the threads start, this thread measures the design as designed.
      log = new Log(subject, seed, experiment.at(asDesigned(subject)));
    } catch (error) {
      pool.cancel();
      throw error;
    }
    return running;
  };
  const cancelled = await interruptible(bar, run, () => pool.cancel());
  tellLost(lost, "trial");
  const left = to - from - log.count;
  if (cancelled) tell(`rampwright: cancelled with ${left} of ${to - from} trials not run`);
  return { trials: log.trials(), whole: !cancelled && lost.size === 0 };
}

/** Tells which of many ended their thread. */
export function tellLost(lost: ReadonlyMap<number, string>, what: string): void {
  for (const [id, reason] of lost)
    tell(`rampwright: ${what} ${id} ended its worker every time: ${printable(reason)}`);
}
