// The workers of a pool as threads. A thread that ends, for whatever reason, reports it once.
import { type ResourceLimits, Worker } from "node:worker_threads";
import { setFlag } from "./engineflags.js";
import type { RunRequest } from "./onerun.js";
import type { Job, PoolOptions, WorkerHandle } from "./pool.js";
import type { CasesTask, PlacesTask, StudyTask } from "./worker.js";

/** What goes onto a page stays until the last run is done: garbage is collected sooner, before the heap has doubled. */
const keepsLess = "--heap-growing-percent=30";
const young = { maxYoungGenerationSizeMb: 12 };
/** A study makes thousands of runs, each of which leaves megabytes behind: the fewer collections, the less of it is still in use. */
const roomy = "--min-semi-space-size=64";
const wide = { maxYoungGenerationSizeMb: 192 };

/** How much memory the threads for a task may use before they collect what is left of it. */
function suited(wanted: RunRequest | undefined): ResourceLimits | undefined {
  if (wanted && !wanted.page) return undefined;
  setFlag(wanted ? keepsLess : roomy);
  return wanted ? young : wide;
}

type Told<R> = { readonly id: number; readonly result: R };
type Message<R> = { readonly fingerprint: string } | Told<R> | readonly Told<R>[];

/**
 * How to hire threads for a task.
 * @param fingerprint that of the design that each thread must find when it reads the files again, as one may have changed
 * @param file the worker's program, next to the command's
 */
export function threadsFor<J extends Job, R>(
  task: PlacesTask | CasesTask | StudyTask,
  fingerprint?: string,
  file = new URL("./worker.js", import.meta.url),
): PoolOptions<J, R>["hire"] {
  const resourceLimits = suited("wanted" in task ? task.wanted : undefined);
  return (told) => {
    const worker = new Worker(file, { workerData: task, stdout: true, stderr: true, resourceLimits });
    let reason = "";
    worker.on("message", (message: Message<R>) => {
      // Ignores what it measures of a different design.
      if (reason !== "") return;
      if (Array.isArray(message))
        for (const { id, result } of message as readonly Told<R>[]) told.result(id, result);
      else if ("id" in message) told.result(message.id, message.result);
      else if ("fingerprint" in message && message.fingerprint !== fingerprint) {
        reason = "a file that the design brings has changed";
        void worker.terminate();
      }
    });
    worker.on("error", (error) => {
      reason = error.message.split("\n")[0];
    });
    worker.on("exit", (code) => told.ended(reason || `it ended with status ${code}`));
    const hand: WorkerHandle<J> = {
      send: (jobs) => worker.postMessage(jobs),
      stop: () => void worker.terminate(),
    };
    return hand;
  };
}
