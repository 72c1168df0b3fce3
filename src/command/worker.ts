// A thread of the command: compiles the design once, then does jobs as they come: places to measure, cases to run, runs of a
// study. If it reads the design's files again it first sends their fingerprint, which shows whether one has changed.
import { parentPort, workerData } from "node:worker_threads";
import { earlierCircuits } from "../assembly/earlier.js";
import { compile } from "../compile.js";
import type { Design } from "../design/design.js";
import { type Brought, remembered } from "../files/brought.js";
import { type Resolvers, resolvers } from "../files/neighbours.js";
import { luminance } from "../files/pixels.js";
import { withValues } from "../judging/settable.js";
import { Experiment, type ExperimentOptions, type Measured } from "../spread/experiment.js";
import type { AxisPlaces } from "../spread/tolerances.js";
import type { Source } from "./input.js";
import { perform, type RunRequest } from "./onerun.js";
import type { BuiltJob, Job } from "./pool.js";
import { type StudyAsked, studyOf } from "./studies.js";

/** Start data of a worker that measures places. */
export interface PlacesTask extends Source {
  /** The folder with the texts and pictures that the design brings. */
  readonly folder: string;
  readonly options: ExperimentOptions;
}

/** Start data of a worker that runs cases. */
export interface CasesTask extends Source {
  readonly brought: Brought;
  readonly wanted: RunRequest;
}

/** Start data of a worker that makes runs of a study. */
export interface StudyTask extends Source {
  readonly brought: Brought;
  readonly asked: StudyAsked;
}

/** Places to measure. */
export interface PlacesJob extends Job {
  readonly places: AxisPlaces;
}

/** Longest time before a measurement is sent, ms. */
const often = 100;

const port = parentPort!;
const task = workerData as PlacesTask | CasesTask | StudyTask;
const { text, name, values } = task;
if ("wanted" in task) {
  if (task.wanted.page) earlierCircuits.end();
  const design = made(remembered(task.brought));
  port.on("message", async (jobs: readonly Job[]) => {
    for (const { id } of jobs) port.postMessage({ id, result: await perform(design, id, task.wanted) });
  });
} else if ("asked" in task) {
  const study = studyOf(made(remembered(task.brought)), task.asked);
  port.on("message", (jobs: readonly BuiltJob[]) => {
    for (const { id, given = [] } of jobs) {
      for (const [of, result] of given) study.take(of, result as never);
      port.postMessage({ id, result: study.perform(id) });
    }
  });
} else {
  const experiment = new Experiment(made(resolvers(task.folder, luminance)), task.options);
  port.postMessage({ fingerprint: experiment.subject.fingerprint });
  port.on("message", (jobs: readonly PlacesJob[]) => {
    let [since, done] = [performance.now(), [] as { id: number; result: Measured }[]];
    for (const [i, { id, places }] of jobs.entries()) {
      done.push({ id, result: experiment.at(places) });
      // The first half is sent before the rest is done, so that new jobs arrive in time.
      const few = i < jobs.length - 1 && 2 * done.length < jobs.length;
      if (few && performance.now() < since + often) continue;
      port.postMessage(done);
      [since, done] = [performance.now(), []];
    }
  });
}

/** The design as in the main thread. */
function made(near: Resolvers): Design {
  const design = compile(text, { name, ...near });
  return values ? withValues(design, values) : design;
}
